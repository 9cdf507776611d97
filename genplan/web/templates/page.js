"use strict";
// Watches a search: says what it said last, shows the best week so far, and loads the page once more when it has ended.
(() => {
  const box = document.getElementById("search");
  if (!box) return;
  const line = document.getElementById("search-line");
  const draft = document.getElementById("so-far");
  let drafts = -1;
  const draw = async (number) => {
    const answer = await fetch(draft.dataset.state);
    if (!answer.ok) return;
    const held = draft.contains(document.activeElement); // who is on its button stays there
    draft.innerHTML = await answer.text();
    if (held) draft.querySelector("button")?.focus();
    drafts = number;
  };
  const look = async () => {
    try {
      const answer = await fetch(box.dataset.state, { headers: { Accept: "application/json" } });
      const found = await answer.json();
      if (found.state !== "running") { location.reload(); return; }
      if (found.line && found.line !== line.textContent) line.textContent = found.line;
      if (draft && found.drafts > 0 && found.drafts !== drafts) await draw(found.drafts);
    } catch {
      line.textContent = box.dataset.silent;
    }
    setTimeout(look, drafts < 0 ? 300 : 1000);
  };
  setTimeout(look, 300);
})();
// A tick chooses "only these", and "all" takes the ticks away; without this script such a form is asked about.
for (const box of document.querySelectorAll("[data-several]")) {
  const [all, these] = box.querySelectorAll("input[type=radio]");
  const ticks = [...box.querySelectorAll("input[type=checkbox]")];
  let before = ticks.filter((tick) => tick.checked);
  box.addEventListener("change", ({ target }) => {
    if (target === all) {
      before = ticks.filter((tick) => tick.checked);
      for (const tick of ticks) tick.checked = false;
    } else if (target === these) {
      if (!ticks.some((tick) => tick.checked)) for (const tick of before) tick.checked = true;
    } else if (target.checked) these.checked = true;
  });
}
// What is chosen from a list chooses its line.
for (const row of document.querySelectorAll("[data-line]")) {
  const [line, list] = [row.querySelector("input[type=radio]"), row.querySelector("select")];
  list.addEventListener("change", () => { if (list.value) line.checked = true; });
}
