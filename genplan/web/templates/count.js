"use strict";
// Writing down one row. Each trial is counted with a tap, past the number that was planned too, which is said; the last
// tap can be undone. What was typed and counted stays on this device until the program has taken it, so that a lost
// connection, a reload and a look at another page lose nothing; a form that is opened with it says so, lest what is
// counted next be added to it. Sent twice it counts once: the form's own word goes with it.
(() => {
  const form = document.getElementById("row");
  const store = form.dataset.store === "local" ? localStorage : sessionStorage;
  const key = `genplan row ${form.dataset.form}`;
  const [pad, tally, unsent] = ["pad", "tally", "unsent"].map((id) => document.getElementById(id));
  const { marks, trials, prompted } = form.elements;
  const undo = pad.querySelector("[data-undo]");
  const earlier = document.getElementById("earlier");
  const planned = form.dataset.planned;
  const thumbs = form.querySelector(".thumbs");
  const [legend, mark] = ["legend", ".counts .soft"].map((name) => form.querySelector(name));
  const DAYS = 3;

  // A button for each count that there can be, of as many trials as are typed; what was planned where that is no number.
  // What has to be met is said of what was planned alone.
  const fit = () => {
    if (!thumbs) return;
    const typed = /^\d+$/.test(trials.value.trim()) ? Number(trials.value) : 0;
    const most = typed >= 1 && typed <= Number(thumbs.dataset.most) ? typed : Number(planned);
    while (thumbs.children.length > most + 1) thumbs.lastElementChild.remove();
    while (thumbs.children.length <= most) {
      const next = thumbs.firstElementChild.cloneNode(true);
      const n = thumbs.children.length;
      Object.assign(next.querySelector("input"), { value: String(n), checked: false, defaultChecked: false });
      next.querySelector("span").textContent = n;
      thumbs.append(next);
    }
    legend.textContent = legend.dataset.of.replace("{n}", most);
    mark.hidden = most !== Number(planned);
  };

  // What is kept.
  const keep = () => {
    const fields = [...new FormData(form)].filter(([name]) => name !== "token");
    try { store.setItem(key, JSON.stringify({ at: Date.now(), fields })); } catch { /* no room: the form stays as it is */ }
  };
  const kept = (name) => { try { return JSON.parse(store.getItem(name)); } catch { return null; } };
  const clear = () => store.removeItem(key);
  const tidy = () => {
    const ours = Object.keys(store).filter((name) => name.startsWith("genplan row "));
    for (const name of ours) if (!(Date.now() - kept(name)?.at < DAYS * 86400000)) store.removeItem(name);
  };
  const put = (fields) => {
    const values = new Map();
    for (const [name, value] of fields) values.set(name, [...(values.get(name) ?? []), value]);
    trials.value = values.get("trials")?.[0] ?? "";
    fit(); // before one of the buttons is chosen
    for (const field of form.elements) {
      if (!field.name || field.name === "token") continue;
      const held = values.get(field.name) ?? [];
      if (field.type === "radio" || field.type === "checkbox") field.checked = held.includes(field.value);
      else field.value = held[0] ?? "";
    }
    for (const fold of form.querySelectorAll("details")) {
      fold.open ||= [...fold.querySelectorAll("input, select")].some((field) => field.value !== field.defaultValue && field.value);
    }
  };

  // The taps. They write the signs, and the signs say the counts, which are left empty beside them.
  const signs = () => marks.value.replaceAll(" ", "");
  const say = () => {
    const all = [...signs()];
    const of = (sign) => all.filter((one) => one === sign).length;
    const counts = { n: all.length, planned, right: of("+"), helped: of("p"), wrong: of("-") };
    const over = all.length > planned ? `. ${form.dataset.over}` : "";
    const told = form.dataset.tally.replace(/{(\w+)}/g, (_, name) => counts[name]);
    tally.textContent = all.length ? told + over : form.dataset.none;
    undo.disabled = !all.length;
  };
  const bySigns = () => {
    for (const one of form.querySelectorAll("[name=correct]")) {
      if (one.type === "radio") one.checked = one.value === "";
      else one.value = "";
    }
    prompted.value = "";
    trials.value = signs() ? "" : planned;
    fit();
  };
  const write = (text) => { marks.value = text; bySigns(); say(); keep(); };
  for (const button of pad.querySelectorAll("[data-sign]")) {
    button.addEventListener("click", () => write(signs() + button.dataset.sign));
  }
  undo.addEventListener("click", () => {
    write(signs().slice(0, -1));
    if (undo.disabled) pad.querySelector("button").focus(); // a button that is off loses the focus
  });
  form.addEventListener("input", ({ target }) => {
    if (target === marks) bySigns();
    else if (target.name === "correct" && target.value) { // whoever says a number means it, and not the taps
      marks.value = "";
      trials.value ||= planned;
    } else if (target === trials) fit();
    say();
    keep();
  });

  // Sending. What the program refuses it says on a page of its own, for which the form is sent as without this script.
  const notSent = () => {
    unsent.textContent = form.dataset.unsent;
    unsent.hidden = false;
  };
  const send = async () => {
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)) });
    if (answer.ok) clear();
    if (answer.redirected && answer.status < 500) { location.assign(answer.url); return; }
    if (answer.status >= 500) throw new Error();
    form.submit();
  };
  let sending = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (sending) return;
    sending = true;
    keep();
    unsent.hidden = true;
    try { await send(); } catch { notSent(); }
    sending = false;
  });

  tidy();
  const before = kept(key);
  // A page that was refused holds what was sent, until something is counted on it: a reload of it sends that once more.
  const again = performance.getEntriesByType("navigation")[0]?.type !== "navigate";
  const typed = () => JSON.stringify([...new FormData(form)].filter(([name]) => !["token", "once", "rows"].includes(name)));
  if ("refused" in form.dataset && !(again && before)) keep();
  else if (before) {
    const fresh = typed();
    put(before.fields);
    earlier.hidden = typed() === fresh;
  }
  earlier.querySelector("button").addEventListener("click", () => {
    form.reset();
    fit();
    clear();
    earlier.hidden = true;
    say();
    pad.querySelector("[data-sign]").focus(); // a button that is gone loses the focus
  });
  pad.hidden = false;
  say();
})();
