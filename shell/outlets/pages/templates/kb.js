// Leaves only the entries whose name or id holds every word that is typed.
// Written without the letters that XML would have escaped, so that the page stays well-formed.
(() => {
  const found = document.getElementById("found");
  const entries = [...document.querySelectorAll("ul.index li")];
  const groups = [...document.querySelectorAll("ul.index, ul.index + h3, section[id]")];
  document.getElementById("search").addEventListener("input", (event) => {
    const words = event.target.value.toLowerCase().split(/\s+/);
    const shown = entries.filter((entry) => {
      const said = entry.textContent.toLowerCase();
      entry.hidden = words.some((word) => !said.includes(word));
      return !entry.hidden;
    });
    for (const group of groups) {
      if (group.querySelector("li")) group.hidden = !group.querySelector("li:not([hidden])");
    }
    found.textContent = event.target.value ? `${shown.length} found` : "";
  });
})();
