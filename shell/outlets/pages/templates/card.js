// Puts the reply together from what is tapped. Nothing is sent: it is copied, or handed to the phone's own sharing.
// Written without the letters that XML would have escaped, so that the page stays well-formed.
(() => {
  const byId = (id) => document.getElementById(id);
  const [answer, reply, missing, figure] = ["answer", "reply", "missing", "figure"].map(byId);
  const [failed, made, copy, share] = ["failed", "made", "copy", "share"].map(byId);
  const ticked = (name) => answer.querySelector(`input[name="${name}"]:checked`);
  const picked = (name) => ticked(name)?.value ?? "";
  const untick = (name) => answer.querySelectorAll(`input[name="${name}"]`).forEach((e) => { e.checked = false; });

  const number = (text) => text.trim().replace(",", ".").replace("−", "-");
  const isNumber = (text) => /^[-+]?([0-9]+[.]?[0-9]*|[.][0-9]+)$/.test(text);
  const isCount = (text) => /^[0-9]+$/.test(text);

  const slip = () => {
    if (figure?.value.trim()) if (!isNumber(number(figure.value))) return "Write a number, such as 0.31.";
    if (failed?.value.trim()) {
      if (![failed, made].every((e) => isCount(e.value.trim()))) return "Write the tries as two whole numbers.";
      if (Number(failed.value) > Number(made.value)) return "More tries failed than were made.";
    }
    return "";
  };

  const read = () => {
    const value = figure ? number(figure.value) : "";
    return picked("cannot") || picked("choice")
      || (value ? `${figure.dataset.called} ${value} ${picked("unit")}` : "");
  };

  const composed = () => {
    const first = read();
    const how = first ? (picked("cannot") ? "" : picked("how")) : "";
    const tries = failed?.value.trim() ? `failed ${failed.value.trim()} of ${made.value.trim()}` : "";
    const lines = [[first, how].filter(Boolean).join(", "), tries, picked("outcome")];
    const said = lines.filter(Boolean).join("\n");
    return said ? [answer.dataset.reference, said].filter(Boolean).join(" ") : "";
  };

  const show = () => {
    const lacks = read() ? (picked("cannot") || picked("how") ? "" : answer.dataset.how ?? "") : "";
    const wrong = slip();
    missing.textContent = wrong || (lacks ? "Say also whether it failed." : "");
    reply.value = wrong || lacks ? "" : composed();
    ready();
  };
  const ready = () => { [copy, share].forEach((b) => { b.disabled = !reply.value.trim(); }); };

  const only = {choice: ["cannot"], cannot: ["choice"]};
  answer.addEventListener("change", (event) => {
    const name = event.target.name;
    if (event.target.checked) {
      (only[name] ?? []).forEach(untick);
      if (["choice", "cannot"].includes(name)) if (figure) figure.value = "";
    }
    if (event.target !== reply) show();
  });
  answer.addEventListener("input", (event) => {
    if (event.target === figure) ["choice", "cannot"].forEach(untick);
    if (event.target === reply) ready(); else show();
  });

  const copyIt = async () => {
    try {
      await navigator.clipboard.writeText(reply.value);
    } catch {
      reply.select();
      if (!document.execCommand("copy")) { missing.textContent = "Hold the reply to copy it."; return; }
    }
    missing.textContent = "Copied. Paste it into your message.";
  };
  copy.addEventListener("click", copyIt);
  if (navigator.share) {
    share.hidden = false;
    share.addEventListener("click", () => navigator.share({text: reply.value}).catch(() => {}));
  }

  const steps = [...document.querySelectorAll("section.step")];
  document.querySelectorAll(".ready").forEach((button, at) => {
    button.hidden = false;
    button.addEventListener("click", () => {
      const [before, now] = [steps[at], steps[at + 1]].map((step) => step.querySelector(".safe"));
      if (before) before.open = false;
      if (now) now.open = true;
      steps[at + 1].scrollIntoView();
    });
  });
  addEventListener("beforeprint", () => document.querySelectorAll("details").forEach((d) => { d.open = true; }));

  reply.placeholder = reply.dataset.empty;
  answer.hidden = false;
  byId("words").hidden = true;
  show();
})();
