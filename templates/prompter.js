"use strict";
// Scrolls the words as fast as they are said: each line carries when it begins and how long it takes.
(() => {
  const at = id => document.getElementById(id), all = (query, from) => [...from.querySelectorAll(query)];
  const body = document.body, words = at("words"), desk = at("desk"), run = at("run");
  const which = at("which"), pace = at("pace"), mirror = at("mirror"), left = at("left");
  const rate = Number(body.dataset.rate), READING = 0.35, SIZES = [2, 2.5, 3, 3.75, 4.5, 5.5, 6.5, 8];
  let elapsed = 0, before = 0, running = false, size = 4;

  const cut = () => at(which.value);
  const lines = () => all("p[data-at]", cut());
  const number = (line, name) => Number(line.dataset[name]);
  const speed = () => Math.min(300, Math.max(60, Number(pace.value) || rate)) / rate;
  const whole = () => Number(cut().dataset.takes);

  const told = () => {
    const rest = Math.max(0, Math.round((whole() - elapsed) / speed()));
    left.textContent = `${Math.floor(rest / 60)}:${String(rest % 60).padStart(2, "0")} left`;
  };
  const place = line => line.getBoundingClientRect().top + scrollY;
  const show = () => {
    const line = lines().filter(one => number(one, "at") <= elapsed + 0.001).pop();
    if (!line) return;
    const share = Math.min(1, (elapsed - number(line, "at")) / (number(line, "takes") || 1));
    scrollTo(0, place(line) + share * line.offsetHeight - innerHeight * READING);
    told();
  };
  // Where somebody has scrolled to by hand is where it goes on from.
  const here = () => {
    const eye = scrollY + innerHeight * READING;
    const line = lines().filter(one => place(one) <= eye).pop();
    if (!line) return 0;
    const share = Math.min(1, (eye - place(line)) / line.offsetHeight);
    return number(line, "at") + share * number(line, "takes");
  };
  const step = now => {
    if (!running) return;
    elapsed += (now - before) / 1000 * speed();
    before = now;
    if (elapsed >= whole()) { elapsed = whole(); stop(); }
    show();
    requestAnimationFrame(step);
  };
  const stop = () => {
    running = false;
    run.textContent = "Start";
    desk.classList.remove("away");
    body.classList.remove("reading");
  };
  const toggle = () => {
    if (running) { stop(); return; }
    elapsed = here();
    if (elapsed >= whole()) elapsed = 0;
    running = true;
    run.textContent = "Stop";
    desk.classList.add("away");
    body.classList.add("reading");
    before = performance.now();
    requestAnimationFrame(step);
  };
  const choose = () => {
    all("section", words).forEach(one => { one.hidden = one !== cut(); });
    stop();
    elapsed = 0;
    scrollTo(0, 0);
    told();
  };
  const resize = by => {
    size = Math.min(SIZES.length - 1, Math.max(0, size + by));
    document.documentElement.style.setProperty("--size", `${SIZES[size]}rem`);
    if (running) show();
  };
  const faster = by => {
    pace.value = String(Math.min(300, Math.max(60, (Number(pace.value) || rate) + by)));
    told();
  };
  const turn = () => {
    const on = words.classList.toggle("mirrored");
    mirror.setAttribute("aria-pressed", String(on));
  };
  const keys = {
    " ": toggle, m: turn, M: turn, ArrowUp: () => faster(5), ArrowDown: () => faster(-5),
    "+": () => resize(1), "=": () => resize(1), "-": () => resize(-1),
    Home: () => { stop(); elapsed = 0; scrollTo(0, 0); told(); },
  };

  run.addEventListener("click", toggle);
  mirror.addEventListener("click", turn);
  at("larger").addEventListener("click", () => resize(1));
  at("smaller").addEventListener("click", () => resize(-1));
  which.addEventListener("change", choose);
  pace.addEventListener("input", told);
  document.addEventListener("keydown", key => {
    if (key.ctrlKey || key.metaKey || key.altKey) return;
    if (key.target.matches("select, input") || (key.key === " " && key.target.matches("button, a"))) return;
    if (!keys[key.key]) return;
    key.preventDefault();
    keys[key.key]();
  });
  desk.hidden = false;
  at("keys").hidden = false;
  choose();
})();
