// What lies under a place of the page, in window pixels.

/** The area of the pattern there. */
export function areaAt(x: number, y: number): number | null {
  const found = attributeAt("data-area", x, y);
  return found === null ? null : Number(found);
}

/** The value of an attribute of the topmost element there that has it. */
export function attributeAt(name: string, x: number, y: number): string | null {
  const found = document.elementsFromPoint(x, y).find((each) => each.hasAttribute(name));
  return found?.getAttribute(name) ?? null;
}
