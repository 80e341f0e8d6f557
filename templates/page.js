// Adds comfort, never content: what it shows is in the page already, and without it nothing is lost.
"use strict";
(() => {
  const all = (query, root = document) => [...root.querySelectorAll(query)];
  const kept = {
    get: name => { try { return sessionStorage.getItem(name); } catch { return null; } },
    set: (name, value) => { try { sessionStorage.setItem(name, value); } catch { /* not kept */ } },
  };

  // What an address leads to; a half of an escape in it leads nowhere.
  const target = hash => {
    try { return document.getElementById(decodeURIComponent(hash.slice(1))); } catch { return null; }
  };

  // Folded parts open when linked to or printed.
  const open = () => {
    const at = location.hash && target(location.hash);
    if (!at) return;
    const inside = at.querySelector(":scope > details.rung");
    if (inside) inside.open = true;
    let around = at.closest("details"), hidden = false;
    for (; around; around = around.parentElement.closest("details")) {
      hidden ||= !around.open;
      around.open = true;
    }
    if (hidden) at.scrollIntoView();
  };
  addEventListener("hashchange", open);
  open();
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = all("details:not([open])");
    closed.forEach(d => { d.open = true; });
  });
  addEventListener("afterprint", () => closed.forEach(d => { d.open = false; }));

  // The contents follow along.
  const follow = () => {
    const links = new Map(all(".contents a").map(a => [a.hash.slice(1), a]));
    if (!links.size || !("IntersectionObserver" in window)) return;
    const seen = new Set();
    const watch = new IntersectionObserver(entries => {
      for (const e of entries) seen[e.isIntersecting ? "add" : "delete"](e.target.id);
      const now = [...links.keys()].find(id => seen.has(id));
      if (!now) return;
      for (const [id, a] of links) {
        if (id === now) a.setAttribute("aria-current", "true");
        else a.removeAttribute("aria-current");
      }
    }, { rootMargin: "-10% 0px -60% 0px" });
    for (const id of links.keys()) watch.observe(document.getElementById(id));
  };

  // Choices: which of the texts in the page is shown.  The first one chosen is the page as it came.
  const written = new Map();
  const units = system => all("[data-inch],[data-metric]").forEach(e => {
    if (!written.has(e)) written.set(e, [...e.childNodes]);
    const said = e.dataset[system];
    e.replaceChildren(...(said === undefined ? written.get(e) : [said]));
  });
  const versions = name => value => all(`[data-${name}]`).forEach(e => {
    e.hidden = !e.dataset[name].split(" ").includes(value);
  });
  const choose = () => all("[data-choice]").forEach(group => {
    const name = group.dataset.choice, buttons = all("button", group);
    const found = name === "units" ? "[data-inch],[data-metric]" : `[data-${name}]`;
    if (!document.querySelector(found)) { group.remove(); return; }
    const first = buttons.find(b => b.getAttribute("aria-pressed") === "true").value;
    const show = value => {
      versions(name)(value);
      if (name === "units") units(value === first ? "" : value);
    };
    const press = value => {
      buttons.forEach(b => b.setAttribute("aria-pressed", String(b.value === value)));
      show(value);
      kept.set(name, value);
    };
    group.addEventListener("click", e => { if (e.target.value) press(e.target.value); });
    const before = kept.get(name);
    if (before !== first && buttons.some(b => b.value === before)) press(before);
    group.parentElement.hidden = false;
  });

  // A figure is read out mark by mark, or where it has no marks, row by row of its numbers.
  const cells = row => [...row.cells].map(cell => cell.textContent.trim());
  const said = (table, row, column) => {
    const heads = cells(table.tHead.rows[0]), own = cells(table.tBodies[0].rows[row]);
    if (column) return `${own[0]}, ${heads[column]}: ${own[column]}`;
    return own.map((text, i) => text && `${heads[i]}: ${text}`).filter(Boolean).join(", ");
  };
  const marks = (svg, rows) => all("[data-cells]", svg).flatMap(path => {
    const at = [...path.getAttribute("d").matchAll(/M(-?[\d.]+) (-?[\d.]+)m/g)];
    const cells = path.dataset.cells.split(" ").flatMap(run => {
      const [row, column, count] = run.split(/[.*]/).map(Number);
      return Array.from({ length: count }, (_, i) => column ? [row, column + i] : [row + i, 0]);
    });
    return cells.map(([row, column], i) => (
      { row, column, x: Number(at[i][1]), y: Number(at[i][2]) }));
  }).filter(mark => mark.row < rows);
  // Whoever is read out in one figure is followed in all of them.
  const following = [];
  const followed = name => following.forEach(draw => draw(name));
  const trail = (svg, spots) => {
    all(".trail", svg).forEach(old => old.remove());
    if (!spots.length) return;
    const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
    line.setAttribute("points", spots.map(s => `${s.x},${s.y}`).join(" "));
    line.setAttribute("class", "trail");
    svg.append(line);
  };
  const readable = (figure, table) => {
    const chart = figure.querySelector(".chart"), line = figure.querySelector(".readout");
    if (!chart.querySelector("[data-cells]")) {  // no marks, only lines through them
      line.textContent = "With a keyboard, go to the chart and use the arrow keys.";
    }
    const rows = table.tBodies[0].rows.length, hint = line.textContent;
    let list = [], now = -1, svg = null, ring = null;
    const look = () => {
      const shown = all("svg", chart).find(s => s.getClientRects().length);
      if (shown === svg) return;
      svg = shown;
      list = svg ? marks(svg, rows) : [];
      if (!list.length) list = Array.from({ length: rows }, (_, row) => ({ row }));
    };
    const clear = () => { now = -1; line.textContent = hint; if (ring) ring.remove(); followed(""); };
    const named = row => cells(table.tBodies[0].rows[row])[0];
    // The two lines on whoever is followed, moved here from the list and back.
    const story = figure.querySelector(".story");
    const lists = all(".stories dt", figure.closest(".plate"));
    let told = null;
    const tell = name => {
      const found = lists.find(term => name && term.textContent.trim() === name) || null;
      if (!story || found === told) return;
      if (told) told.nextElementSibling.append(...story.childNodes);
      if (found) story.append(...found.nextElementSibling.childNodes);
      lists.forEach(term => { term.hidden = term.nextElementSibling.hidden = term === found; });
      told = found;
      story.hidden = !found;
    };
    following.push(name => {
      tell(name);
      look();
      if (svg) trail(svg, list.filter(m => name && m.x !== undefined && named(m.row) === name));
    });
    const show = index => {
      const mark = list[index];
      now = index;
      line.textContent = said(table, mark.row, mark.column);
      if (ring) ring.remove();
      followed(named(mark.row));
      if (mark.x === undefined) return;
      ring = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      for (const [name, value] of [["cx", mark.x], ["cy", mark.y], ["r", 6], ["class", "ring"]]) {
        ring.setAttribute(name, value);
      }
      svg.append(ring);
    };
    const point = reach => e => {
      look();
      if (!svg) return;
      const box = svg.getBoundingClientRect(), wide = svg.viewBox.baseVal.width / box.width;
      const x = (e.clientX - box.left) * wide, y = (e.clientY - box.top) * wide;
      let best = -1, least = reach * wide;
      list.forEach((mark, i) => {
        const far = Math.hypot(mark.x - x, mark.y - y);
        if (far < least) { best = i; least = far; }
      });
      if (best >= 0 && best !== now) show(best);
    };
    const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };
    chart.addEventListener("keydown", e => {
      if (e.altKey || e.ctrlKey || e.metaKey) return;
      look();
      if (e.key === "Escape") clear();
      else if (e.key === "Home") show(0);
      else if (e.key === "End") show(list.length - 1);
      else if (steps[e.key]) show(Math.min(list.length - 1, Math.max(0, now + steps[e.key])));
      else return;
      e.preventDefault();
    });
    chart.addEventListener("pointermove", e => { if (e.pointerType === "mouse") point(18)(e); });
    chart.addEventListener("pointerdown", point(28));
    chart.tabIndex = 0;
    chart.setAttribute("role", "group");
    chart.setAttribute("aria-label", "Chart, read mark by mark with the arrow keys");
    line.hidden = false;
  };

  // A link to a figure or a claim, to pass on.
  const copied = text => {
    if (navigator.clipboard && isSecureContext) return navigator.clipboard.writeText(text);
    return Promise.reject(new Error("no clipboard here"));
  };
  const linkable = (place, id) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "link";
    button.textContent = "Copy a link to this";
    const status = document.createElement("span");
    status.setAttribute("role", "status");
    button.addEventListener("click", () => {
      const address = new URL(`#${id}`, location.href).href;
      const done = words => { status.textContent = words; };
      copied(address).then(() => done("Copied."), () => {
        location.hash = id;
        done("It is in the address bar now.");
      });
    });
    const line = document.createElement("p");
    line.className = "pass-on";
    line.append(button, " ", status);
    place.append(line);
  };

  // A term opens its meaning where it stands; without this it leads to the list of words and back.
  const meanings = () => document.addEventListener("click", e => {
    const term = e.target.closest && e.target.closest("a.term");
    if (!term || e.ctrlKey || e.metaKey || e.shiftKey) return;
    const entry = target(term.hash);
    const said = entry && entry.nextElementSibling;
    if (!said) return;
    e.preventDefault();
    const block = term.closest("p, li, td, dd, figcaption") || term;
    const before = block.nextElementSibling;
    if (before && before.matches(".gloss")) {
      const same = before.dataset.of === term.hash;
      before.remove();
      if (same) { term.setAttribute("aria-expanded", "false"); return; }
    }
    const note = document.createElement("div"), text = said.cloneNode(true);
    const name = document.createElement("b"), shut = document.createElement("button");
    all("a", text).forEach(a => a.remove());
    note.className = "gloss";
    note.dataset.of = term.hash;
    note.setAttribute("role", "note");
    name.className = "lead";
    name.textContent = `${entry.textContent}: `;
    shut.type = "button";
    shut.textContent = "Close";
    const close = () => {
      note.remove();
      term.setAttribute("aria-expanded", "false");
      term.focus();
    };
    shut.addEventListener("click", close);
    note.addEventListener("keydown", key => { if (key.key === "Escape") close(); });
    note.append(name, text.textContent.trim(), " ", shut);
    if (block.matches("li, td, dd")) block.append(note);
    else block.after(note);
    term.setAttribute("aria-expanded", "true");
    shut.focus({ preventScroll: true });
  });

  // What if another size counted: a slider over the rows of the table.
  const sliding = place => {
    const rows = all("tbody tr", place), own = rows.findIndex(row => row.matches(".chosen"));
    const label = document.createElement("label"), slider = document.createElement("input");
    const output = document.createElement("output");
    slider.type = "range";
    slider.min = "0";
    slider.max = String(rows.length - 1);
    slider.value = String(own);
    label.className = "slide";
    const show = () => {
      const row = rows[Number(slider.value)];
      rows.forEach(other => other.toggleAttribute("data-shown", other === row));
      output.replaceChildren(...[...row.cells[1].childNodes].map(n => n.cloneNode(true)));
      slider.setAttribute("aria-valuetext", row.textContent.trim().replace(/\s+/g, " "));
    };
    slider.addEventListener("input", show);
    label.append("Smaller or larger size", slider);
    place.prepend(label, output);
    show();
  };

  // A guess before the answer: it stays the reader's, and the answer opens with how far off it was.
  const guessing = place => {
    const told = place.querySelector(".answered"), answer = place.nextElementSibling;
    all("li", place).forEach(item => {
      const [label, gap] = item.children, button = document.createElement("button");
      button.type = "button";
      button.setAttribute("aria-pressed", "false");
      button.append(...label.childNodes);
      label.replaceWith(button);
      button.addEventListener("click", () => {
        all("button", place).forEach(other =>
          other.setAttribute("aria-pressed", String(other === button)));
        all(".gap", told).forEach(old => { old.hidden = true; old.home.append(old); });
        gap.home = item;
        gap.hidden = false;
        told.append(gap);
        answer.open = true;
      });
    });
  };

  follow();
  choose();
  meanings();
  all("[data-what-if]").forEach(sliding);
  all("[data-guess]").forEach(guessing);
  all(".plate").forEach(plate => {
    const figure = plate.querySelector("figure"), table = plate.querySelector("details .numbers");
    if (table) readable(figure, table);
    linkable(plate, figure.id);
  });
  const detail = claim => all("details", claim).find(d => d.querySelector(":scope > blockquote"));
  all(".claim").forEach(claim => linkable(detail(claim) || claim, claim.id));
})();
