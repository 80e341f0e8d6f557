// Adds comfort, never content: folded numbers open when linked to or printed, and the contents
// follow along.
"use strict";
(() => {
  const open = () => {
    const at = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (at && at.closest("details")) at.closest("details").open = true;
  };
  addEventListener("hashchange", open);
  open();
  let closed = [];
  addEventListener("beforeprint", () => {
    closed = [...document.querySelectorAll("details:not([open])")];
    closed.forEach(d => { d.open = true; });
  });
  addEventListener("afterprint", () => closed.forEach(d => { d.open = false; }));
  const links = new Map([...document.querySelectorAll(".contents a")].map(a => [a.hash.slice(1), a]));
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
})();
