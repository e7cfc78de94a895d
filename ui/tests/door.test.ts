// Answers that break off: the server died while it spoke.

import { afterEach, expect, test, vi } from "vitest";
import { httpDoor, Unreached } from "../state/door";

afterEach(() => vi.unstubAllGlobals());

const edited = () => httpDoor().edit(1, []);

test("an answer whose body never ends is none", async () => {
  const body = new ReadableStream({
    start(control) {
      control.enqueue(new TextEncoder().encode('{"revision":'));
      control.error(new TypeError("network error"));
    },
  });
  vi.stubGlobal("fetch", async () => new Response(body, { status: 200 }));
  await expect(edited()).rejects.toBeInstanceOf(Unreached);
});

test("an answer that breaks off within its text is none", async () => {
  vi.stubGlobal("fetch", async () => new Response('{"revision": 3, "pie', { status: 200 }));
  await expect(edited()).rejects.toBeInstanceOf(Unreached);
});
