
"use strict";
(() => {
  const byId = id => document.getElementById(id);
  const picture = byId("picture"), pen = picture.getContext("2d");
  const glass = byId("glass"), lens = glass.getContext("2d");
  const token = document.body.dataset.token;
  const COLOURS = ["#c0143c", "#0a5fb4", "#0b7a3b", "#7a3fb0", "#a85a00", "#007a80"];
  const ZOOM = 8;
  const image = new Image();
  const kept = { corners: [], x: [], y: [], series: [{ name: "", marks: [], again: [] }] };
  let cross = [picture.width / 2, picture.height / 2], current = 0, read = null, asked = 0;
  let wide = 0;
  const taken = [];

  const tool = () => document.querySelector("input[name=tool]:checked").value;
  const list = () => {
    const which = tool();
    return which === "marks" || which === "again" ? kept.series[current][which] : kept[which];
  };

  async function ask(path, question) {
    const answer = await fetch(path, {
      method: "POST", headers: { "Content-Type": "application/json", "X-Desk-Token": token },
      body: JSON.stringify(question),
    });
    return answer.json();
  }

  function whole() {
    const axis = side => ({
      places: kept[side], low: byId(side + "-low").value, high: byId(side + "-high").value,
      scale: byId(side + "-log").checked ? "log" : "linear",
    });
    return {
      x: axis("x"), y: axis("y"), corners: kept.corners, series: kept.series,
      xTitle: byId("x-title").value, yTitle: byId("y-title").value, figure: byId("figure").value,
    };
  }

  async function reread() {
    const number = ++asked, marks = kept.series.some(s => s.marks.length);
    if (!marks) { read = null; tell("Nothing is read yet."); show(); return; }
    let answer;
    try { answer = await ask("/read", whole()); } catch (gone) { answer = { fault: "The desk is closed." }; }
    if (number !== asked) return;
    read = answer.fault ? null : answer;
    tell(answer.fault ? "Not yet: " + answer.fault + "." : answer.told, !!answer.fault);
    show();
  }

  function tell(text, fault) {
    byId("told").textContent = text;
    byId("told").classList.toggle("fault", !!fault);
    byId("save").disabled = !read;
  }

  function show() {
    draw(); listValues();
    for (const span of document.querySelectorAll("[data-count]")) {
      const which = span.dataset.count;
      const count = which === "marks" || which === "again"
        ? kept.series.reduce((sum, s) => sum + s[which].length, 0) : kept[which].length;
      span.textContent = "(" + count + " set)";
    }
  }

  function listValues() {
    const body = byId("values");
    body.replaceChildren();
    for (const one of read ? read.series : []) {
      for (const pair of one.values) {
        const row = body.insertRow();
        for (const text of [one.name, ...pair]) row.insertCell().textContent = String(text);
      }
    }
  }

  function spot(at, colour, size, form) {
    pen.strokeStyle = colour; pen.lineWidth = Math.max(1.2, thick());
    pen.beginPath();
    if (form === "ring") pen.arc(at[0], at[1], size, 0, 7);
    else {
      pen.moveTo(at[0] - size, at[1]); pen.lineTo(at[0] + size, at[1]);
      pen.moveTo(at[0], at[1] - size); pen.lineTo(at[0], at[1] + size);
    }
    pen.stroke();
  }

  const thick = () => picture.width / Math.max(1, picture.clientWidth);

  function draw() {
    pen.clearRect(0, 0, picture.width, picture.height);
    pen.drawImage(image, 0, 0, picture.width, picture.height);
    const unit = thick();
    if (read && byId("back").checked) {
      pen.strokeStyle = "#0a5fb4"; pen.lineWidth = unit; pen.setLineDash([6 * unit, 4 * unit]);
      for (const line of read.grid) {
        pen.beginPath(); pen.moveTo(...line[0]); pen.lineTo(...line[1]); pen.stroke();
      }
      pen.setLineDash([]);
    }
    for (const [which, colour] of [["corners", "#7a3fb0"], ["x", "#0a5fb4"], ["y", "#0b7a3b"]]) {
      for (const at of kept[which]) { spot(at, colour, 9 * unit); spot(at, colour, 4 * unit, "ring"); }
    }
    kept.series.forEach((series, n) => {
      const colour = COLOURS[n % COLOURS.length];
      for (const mark of series.marks) spot(mark.at, colour, 7 * unit, "ring");
      for (const mark of series.again) spot(mark.at, colour, 4 * unit, "ring");
    });
    if (read && byId("back").checked) {
      read.series.forEach(one => one.back.forEach(at => spot(at, "#000", 5 * unit)));
    }
    spot(cross, "#c0143c", 12 * unit);
    look();
  }

  function look() {
    const side = glass.width / ZOOM, half = glass.width / 2;
    lens.fillStyle = "#777"; lens.fillRect(0, 0, glass.width, glass.height);
    lens.imageSmoothingEnabled = false;
    lens.drawImage(image, cross[0] - side / 2, cross[1] - side / 2, side, side, 0, 0, glass.width, glass.height);
    lens.strokeStyle = "#c0143c"; lens.lineWidth = 1;
    lens.beginPath();
    lens.moveTo(0, half); lens.lineTo(half - 6, half); lens.moveTo(half + 6, half); lens.lineTo(2 * half, half);
    lens.moveTo(half, 0); lens.lineTo(half, half - 6); lens.moveTo(half, half + 6); lens.lineTo(half, 2 * half);
    lens.stroke();
  }

  function move(to) {
    cross = [Math.min(Math.max(to[0], 0), picture.width), Math.min(Math.max(to[1], 0), picture.height)];
    byId("where").textContent = "The cross is " + cross[0].toFixed(1) + " across, " + cross[1].toFixed(1) + " down.";
    draw();
  }

  async function setHere() {
    const which = tool(), marks = which === "marks" || which === "again", target = list();
    let at = [...cross], moved = false;
    if (marks && byId("snap").checked) {
      const answer = await ask("/snap", { at });
      if (answer.at) { at = answer.at; moved = true; }
    }
    const most = which === "corners" ? 4 : which === "x" || which === "y" ? 2 : Infinity;
    const before = [...target];
    if (target.length >= most) {
      let nearest = 0;
      target.forEach((p, i) => {
        if (Math.hypot(p[0] - at[0], p[1] - at[1]) < Math.hypot(target[nearest][0] - at[0], target[nearest][1] - at[1])) nearest = i;
      });
      target[nearest] = at;
    } else target.push(marks ? { at, snapped: moved } : at);
    taken.push(() => { target.splice(0, target.length, ...before); });
    byId("where").textContent = (marks ? "Mark " : "Place ") + target.length + " set" + (moved ? ", moved to the middle of the mark." : ".");
    draw();
    await reread();
  }

  function undo() {
    const back = taken.pop();
    if (!back) { byId("where").textContent = "Nothing to take back."; return; }
    back(); byId("where").textContent = "Taken back."; reread();
  }

  const placeOf = event => {
    const box = picture.getBoundingClientRect();
    return [(event.clientX - box.left) * picture.width / box.width, (event.clientY - box.top) * picture.height / box.height];
  };

  let held = null;
  picture.addEventListener("pointerdown", event => {
    if (event.button > 0) return;
    if (event.pointerType === "mouse") { held = placeOf(event); return; }
    picture.setPointerCapture(event.pointerId);
    held = { finger: placeOf(event), from: [...cross], moved: false };
  });
  picture.addEventListener("pointermove", event => {
    if (event.pointerType === "mouse") { move(placeOf(event)); return; }
    if (!held) return;
    // A finger hides what it touches: it pushes the cross from wherever it lies.
    const now = placeOf(event);
    const step = [now[0] - held.finger[0], now[1] - held.finger[1]];
    if (Math.hypot(...step) > 4 * thick()) held.moved = true;
    if (held.moved) move([held.from[0] + step[0], held.from[1] + step[1]]);
  });
  picture.addEventListener("pointerup", event => {
    if (!held) return;
    if (event.pointerType === "mouse") { move(placeOf(event)); setHere(); }
    else if (!held.moved) move(placeOf(event));
    held = null;
  });
  picture.addEventListener("pointercancel", () => { held = null; });
  picture.addEventListener("keydown", event => {
    const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const step = steps[event.key];
    if (step) {
      const far = event.shiftKey ? 10 : event.altKey ? 0.25 : 1;
      move([cross[0] + far * step[0], cross[1] + far * step[1]]);
    } else if (event.key === "Enter" || event.key === " ") setHere();
    else if (event.key === "Backspace" || (event.key === "z" && (event.ctrlKey || event.metaKey))) undo();
    else return;
    event.preventDefault();
  });

  for (const button of document.querySelectorAll("[data-move]")) {
    button.addEventListener("click", () => {
      const step = button.dataset.move.split(",").map(Number);
      move([cross[0] + step[0], cross[1] + step[1]]);
    });
  }
  byId("set").addEventListener("click", setHere);
  byId("undo").addEventListener("click", undo);
  byId("back").addEventListener("change", draw);
  const size = by => {
    wide = by ? Math.min(8, Math.max(0.2, (wide || picture.clientWidth / picture.width) * by)) : 0;
    picture.style.width = wide ? wide * picture.width + "px" : "";
    draw();
  };
  byId("larger").addEventListener("click", () => size(1.5));
  byId("smaller").addEventListener("click", () => size(1 / 1.5));
  byId("fit").addEventListener("click", () => size(0));

  function listSeries() {
    const options = kept.series.map((series, n) => new Option(series.name || "series " + (n + 1), n));
    byId("series").replaceChildren(...options);
    byId("series").value = current;
    byId("name").value = kept.series[current].name;
  }
  byId("series").addEventListener("change", event => { current = Number(event.target.value); listSeries(); });
  byId("name").addEventListener("change", event => {
    kept.series[current].name = event.target.value; listSeries(); reread();
  });
  byId("add").addEventListener("click", () => {
    kept.series.push({ name: "", marks: [], again: [] });
    current = kept.series.length - 1; listSeries();
  });
  for (const id of ["x-low", "x-high", "x-title", "x-log", "y-low", "y-high", "y-title", "y-log"]) {
    byId(id).addEventListener("change", reread);
  }
  document.querySelector("form").addEventListener("submit", event => event.preventDefault());
  byId("save").addEventListener("click", async () => {
    byId("save").disabled = true;
    let answer;
    try { answer = await ask("/save", whole()); } catch (gone) { answer = { fault: "The desk is closed" }; }
    if (answer.fault) tell("Not saved: " + answer.fault + ".", true);
    else {
      tell("Saved in " + answer.saved + ". You may close this page.");
      byId("save").disabled = true;
    }
  });
  image.addEventListener("load", () => { listSeries(); show(); move(cross); });
  image.src = "/picture.png";
  window.addEventListener("resize", draw);
})();
