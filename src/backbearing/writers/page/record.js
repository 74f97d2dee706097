"use strict";
// Builds one line of field notes from what is touched; what is typed stays text throughout.
(() => {
  document.documentElement.classList.add("recording");
  const form = document.getElementById("builder"), made = document.getElementById("line-made");
  const done = document.getElementById("line-done"), send = document.getElementById("line-share");
  const two = (number) => String(number).padStart(2, "0");
  const now = new Date();
  form.elements.at.value = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}` +
    ` ${two(now.getHours())}:${two(now.getMinutes())}`;
  // in quotes any words may stand, but no quotes; a name on record is known as it is written
  const plain = (text) => text.replace(/\s+/g, " ").trim();
  const inQuotes = (head, text) =>
    plain(text) && `${head}"${plain(text).replace(/["“”]/g, "'")}"`;
  const line = () => {
    const said = Object.fromEntries(new FormData(form));
    const items = [
      plain(said.at) + " " + [said.state, plain(said.subject)].filter(Boolean).join(" "),
      said.lit,
      inQuotes("blocked: ", said.blocked),
      inQuotes("next: ", said.next),
      inQuotes("", said.words),
    ];
    return items.filter(Boolean).join(", ");
  };
  const show = () => {
    made.textContent = line();
    done.textContent = "";
  };
  form.addEventListener("input", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  document.getElementById("line-copy").addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(line());
      done.textContent = done.dataset.copied;
    } catch {
      getSelection().selectAllChildren(made);
      done.textContent = done.dataset.marked;
    }
  });
  send.hidden = !navigator.share;
  send.addEventListener("click", () => navigator.share({ text: line() }).catch(() => {}));
  show();
})();
