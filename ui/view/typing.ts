/** Whether keys belong to what is being typed. */
export function typing(target: EventTarget | null): boolean {
  return (
    target instanceof HTMLElement &&
    target.closest("input:not([type=range]), select, textarea, dialog") !== null
  );
}
