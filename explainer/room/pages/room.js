"use strict";
(() => {
  const told = document.getElementById("told");
  if (told) { told.focus(); if (location.search) history.replaceState(null, "", location.pathname); }

  // Files dropped anywhere on the frame go into the form's own field, so the form does the rest.
  const drop = document.getElementById("drop"), field = document.getElementById("files");
  if (drop && field) {
    const list = document.getElementById("chosen");
    const show = () => {
      list.replaceChildren(...Array.from(field.files, file => {
        const item = document.createElement("li");
        item.textContent = file.name;
        return item;
      }));
    };
    field.addEventListener("change", show);
    for (const name of ["dragenter", "dragover"]) drop.addEventListener(name, event => {
      event.preventDefault();
      drop.classList.add("over");
    });
    drop.addEventListener("dragleave", () => drop.classList.remove("over"));
    drop.addEventListener("drop", event => {
      event.preventDefault();
      drop.classList.remove("over");
      const all = new DataTransfer();
      for (const file of [...field.files, ...event.dataTransfer.files]) all.items.add(file);
      field.files = all.files;
      show();
    });
  }

  for (const form of document.querySelectorAll("form.publish")) form.addEventListener("submit", event => {
    const button = event.submitter, wait = form.querySelector(".wait");
    if (wait && button) wait.textContent = button.dataset.wait;
    if (button && button.hasAttribute("data-stays")) setTimeout(() => { wait.textContent = ""; }, 20000);
  });

  // A place in the form that is folded away is opened before it is gone to.
  const go = id => {
    let target = document.getElementById(id);
    if (!target && id.startsWith("f-")) {
      const parts = id.slice(2).split("/");
      while (!target && parts.length) {
        target = document.getElementById("f-" + parts.join("/")) || document.getElementById("g-" + parts.join("/"));
        parts.pop();
      }
    }
    target = target || document.getElementById("file");
    if (!target) return;
    for (let up = target; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
    target.scrollIntoView({block: "center"});
    (target.matches("details") ? target.querySelector("summary") : target).focus();
  };
  document.addEventListener("click", event => {
    const offer = event.target.closest("button[data-fill]");
    if (offer) {
      const field = document.getElementById(offer.dataset.fill);
      field.value = offer.dataset.with;
      field.focus();
    }
    const link = event.target.closest("a[data-field]");
    if (link) { event.preventDefault(); go("f-" + link.dataset.field); }
  });
  if (location.hash === "#file") go("file");
  if (document.body.dataset.go) go(document.body.dataset.go);

  const {base, study, built} = document.body.dataset;
  if (!study) return;
  const mended = document.getElementById("mended"), state = document.getElementById("state");
  const frame = document.getElementById("preview");
  let anew = false;
  const mend = async () => {
    const answer = await fetch(base + "mend/" + encodeURIComponent(study), {cache: "no-store"});
    const text = await answer.text();
    const page = new DOMParser().parseFromString(text, "text/html");
    mended.replaceChildren(...page.body.childNodes);
    const errors = mended.querySelector("li.error");
    state.textContent = errors ? "there is something to mend: this is the last good page"
      : anew ? "built anew" : "as last built";
  };
  (async () => {
    let seen = Number(built);
    await mend().catch(() => {});
    for (;;) {
      try {
        const answer = await fetch(base + "news?seen=" + seen, {cache: "no-store"});
        const news = await answer.json();
        if (news.version !== seen) {
          seen = news.version;
          const down = frame.contentWindow.scrollY || 0;
          frame.addEventListener("load", () => frame.contentWindow.scrollTo(0, down), {once: true});
          frame.contentWindow.location.reload();
          anew = true;
          await mend();
        }
      } catch (gone) { await new Promise(wake => setTimeout(wake, 1000)); }
    }
  })();
})();
