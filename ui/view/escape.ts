// Escape while something is held.

/** Does so once when Escape is pressed, wherever the focus is; until the returned function is called. Nothing else hears it. */
export function untilEscape(leave: () => void): () => void {
  const end = new AbortController();
  const pressed = (event: KeyboardEvent) => {
    if (event.key !== "Escape") return;
    event.preventDefault();
    event.stopImmediatePropagation();
    end.abort();
    leave();
  };
  window.addEventListener("keydown", pressed, { signal: end.signal, capture: true });
  return () => end.abort();
}
