// A search box over the words on this page; without it every word is still there to scroll to.
// Names are compared without what stands between their letters: C.G. is CG, µin is uin.
"use strict";
(() => {
  const squeezed = (text) =>
    text.toLowerCase().replace(/[µμ]/g, "u").normalize("NFKD").replace(/[^\p{L}\p{N}]/gu, "");
  const singulars = (name) => {
    const found = [name];
    if (name.length > 4 && name.endsWith("ies")) found.push(name.slice(0, -3) + "y");
    if (name.length > 4 && name.endsWith("es")) found.push(name.slice(0, -2));
    if (name.length > 3 && /[^s]s$/.test(name)) found.push(name.slice(0, -1));
    return found;
  };
  const split = (text) => text.toLowerCase().split(/[^\p{L}\p{N}]+/u).filter((w) => w);
  const EMPTY = new Set("a an the of my i is it how what that where when in on to".split(" "));
  // How well an entry answers: 3 it goes by this name, 2 a name of it has these words, 1 it
  // speaks of them.  An abbreviation of up to three letters is looked for among names only.
  const rank = (wanted, names, text) => {
    const whole = squeezed(wanted);
    const bare = whole.replace(/^\d+/, "");
    const forms = [...singulars(whole), ...(bare.length > 2 ? singulars(bare) : [])];
    if (names.some((n) => singulars(squeezed(n)).some((form) => forms.includes(form)))) return 3;
    const words = split(wanted).filter((w) => !EMPTY.has(w)).map((w) => singulars(w).pop());
    const begun = (word, name) => split(name).some((own) => own.startsWith(word));
    if (words.length && names.some((n) => words.every((w) => begun(w, n)))) return 2;
    const said = names.join(" ").toLowerCase() + " " + text;
    if (whole.length > 3 && words.length && words.every((w) => said.includes(w))) return 1;
    return 0;
  };
  // Where one goes by the very name, names alone are shown; mentions only where no name is found.
  const chosen = (wanted, entries) => {
    const ranks = entries.map((e) => rank(wanted, e.names, e.text));
    const best = Math.max(0, ...ranks);
    const short = squeezed(wanted).length <= 3;
    const least = best === 3 && short ? 3 : best >= 2 ? 2 : 1;
    return ranks.map((r) => r >= least);
  };
  if (typeof document === "undefined") {
    globalThis.chosen = chosen;
    return;
  }
  const finder = document.getElementById("finder");
  const label = document.createElement("label");
  label.className = "search";
  label.textContent = "Find a word";
  const box = document.createElement("input");
  box.type = "search";
  label.append(box);
  const count = document.createElement("p");
  count.className = "aside";
  count.setAttribute("role", "status");
  finder.append(label, count);
  const found = [...document.querySelectorAll(".entry")];
  const entries = found.map((e) => ({
    names: e.dataset.names.split("|"), text: e.textContent.toLowerCase(),
  }));
  const sections = [...document.querySelectorAll("main > section")];
  box.addEventListener("input", () => {
    const wanted = box.value.trim();
    const kept = squeezed(wanted) ? chosen(wanted, entries) : entries.map(() => true);
    found.forEach((e, i) => { e.hidden = !kept[i]; });
    for (const s of sections) s.hidden = !s.querySelector(".entry:not([hidden])");
    const shown = kept.filter((k) => k).length;
    count.textContent = wanted ? `${shown} of ${found.length} words` : "";
  });
})();
