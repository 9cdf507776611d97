"use strict";
// Watches a search: says what it said last, and loads the page once more when it has ended.
(() => {
  const box = document.getElementById("search");
  if (!box) return;
  const line = document.getElementById("search-line");
  const look = async () => {
    try {
      const answer = await fetch(box.dataset.state, { headers: { Accept: "application/json" } });
      const found = await answer.json();
      if (found.state !== "running") { location.reload(); return; }
      if (found.line && found.line !== line.textContent) line.textContent = found.line;
    } catch {
      line.textContent = "The program does not answer. Is it still running?";
    }
    setTimeout(look, 1000);
  };
  setTimeout(look, 500);
})();
