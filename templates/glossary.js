// A search box over the words on this page; without it every word is still there to scroll to.
"use strict";
(() => {
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
  const entries = [...document.querySelectorAll(".entry")];
  const sections = [...document.querySelectorAll("main > section")];
  box.addEventListener("input", () => {
    const wanted = box.value.trim().toLowerCase();
    let shown = 0;
    for (const e of entries) {
      e.hidden = wanted !== "" && !e.textContent.toLowerCase().includes(wanted);
      if (!e.hidden) shown += 1;
    }
    for (const s of sections) s.hidden = !s.querySelector(".entry:not([hidden])");
    count.textContent = wanted ? `${shown} of ${entries.length} words` : "";
  });
})();
