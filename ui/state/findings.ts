// What a check found, gathered for a maker: each kind once, the gravest first.

import type { Finding, Grave, Kind } from "./wire";

/** What is found of boards: it has its signs on Stock alone. */
export const OF_STOCK: readonly Kind[] = ["no_board", "lies_wrong"];

const GRAVEST: readonly Grave[] = ["grave", "doubt", "note"];

/** What is said once: findings of one kind about the same pieces. */
export interface Told {
  /** The key of the first. */
  readonly key: string;
  readonly findings: readonly Finding[];
}

export interface Gathered {
  readonly kind: Kind;
  readonly what: string;
  readonly grave: Grave;
  readonly told: readonly Told[];
}

/** Findings by kind; what is found of one piece in several places is told once. */
export function gathered(findings: readonly Finding[]): Gathered[] {
  const kinds = new Map<string, Finding[]>();
  for (const finding of findings) into(kinds, `${finding.kind} ${finding.what}`, finding);
  const all = [...kinds.values()].flatMap((list) => {
    const [first] = list;
    if (!first) return [];
    const grave = GRAVEST.find((each) => list.some((finding) => finding.grave === each)) ?? first.grave;
    return [{ kind: first.kind, what: first.what, grave, told: toldOnce(list) }];
  });
  return all.sort((a, b) => GRAVEST.indexOf(a.grave) - GRAVEST.indexOf(b.grave));
}

function toldOnce(findings: readonly Finding[]): Told[] {
  const told = new Map<string, Finding[]>();
  for (const finding of findings) {
    // What speaks of no piece stands for itself.
    const about = finding.pieces.length > 0 ? finding.pieces.join() : finding.key;
    into(told, `${finding.grave} ${about}`, finding);
  }
  return [...told.values()].flatMap((list) => (list[0] ? [{ key: list[0].key, findings: list }] : []));
}

function into(lists: Map<string, Finding[]>, key: string, finding: Finding): void {
  const list = lists.get(key);
  if (list) list.push(finding);
  else lists.set(key, [finding]);
}
