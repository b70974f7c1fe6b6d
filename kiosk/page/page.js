// Every two seconds the part that changes is asked for again; the title tells of a call from another tab.
"use strict";
const state = document.getElementById("state");
const lost = document.getElementById("lost");
const title = document.title;

async function refresh() {
  try {
    const answer = await fetch("/state", { credentials: "same-origin" });
    if (answer.status === 401) {
      location.reload();
      return;
    }
    if (!answer.ok) {
      throw new Error(String(answer.status));
    }
    const text = await answer.text();
    if (text !== refresh.last && !state.contains(document.activeElement)) {
      state.innerHTML = text;
      refresh.last = text;
    }
    lost.hidden = true;
    const waits = text.includes('value="answer"') || text.includes('value="release"');
    document.title = waits ? "(!) " + title : title;
  } catch (error) {
    lost.hidden = false;
  }
}

setInterval(refresh, 2000);
