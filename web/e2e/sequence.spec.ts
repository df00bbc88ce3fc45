// The phone computes the same order of trials as the server: both are tested against one file of examples. No
// page is opened.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect } from "@playwright/test";
import { test } from "./demo";
import { root } from "./paths";
import { makeOrder, OrderError, sessionOrder } from "../src/ts/phone/sequence";
import type { Question } from "../src/ts/phone/sequence";

interface Example {
  question: Question;
  order?: string[];
  error?: string;
}

function answered(question: Question): Omit<Example, "question"> {
  try {
    return { order: makeOrder(question).map((t) => (t.position === null ? t.target : `${t.target}:${t.position}`)) };
  } catch (e) {
    if (e instanceof OrderError) return { error: e.path };
    throw e;
  }
}

test("the phone and the server compute the same order", () => {
  const file = readFileSync(join(root, "internal/compute/sequence/testdata/orders.jsonl"), "utf8");
  const examples = file.trimEnd().split("\n").map((line) => JSON.parse(line) as Example);
  expect(examples.length).toBeGreaterThanOrEqual(500);
  const different = examples.filter((e) => {
    const { question, ...expected } = e;
    return JSON.stringify(answered(question)) !== JSON.stringify(expected);
  });
  expect(different).toEqual([]);
});

test("an invalid seed is refused", () => {
  for (const seed of ["", "-1", "1.5", "18446744073709551616"]) {
    expect(() => makeOrder({ targets: ["a", "b"], trials: 4, rule: "rotation", seed })).toThrow(OrderError);
  }
});

test("each session has its own order, and always gets one", () => {
  const targets = ["a", "b", "c"];
  const kit = { seed: "18446744073709551615", order: { rule: "rotation", block: 0, max_same: 0 } };
  const session = "01890a5d-ac96-774b-bcce-b302099a8057";
  const plain = targets.map((target) => ({ target, position: null }));
  const order = sessionOrder(kit, targets, 9, session);
  expect(order).toHaveLength(9);
  expect(sessionOrder(kit, targets, 9, session)).toEqual(order);
  expect(sessionOrder(kit, targets, 9, session.replace(/.$/, "8"))).not.toEqual(order);
  expect(sessionOrder({ seed: kit.seed, order: { rule: "blocked", block: 2, max_same: 0 } }, targets, 4, session).map((t) => t.target)).toEqual(["a", "a", "b", "b"]);
  expect(sessionOrder({ seed: kit.seed }, targets, 9, session)).toEqual(plain);
  expect(sessionOrder({ ...kit, seed: "none" }, targets, 9, session)).toEqual(plain);
});

test("known targets are interspersed and positions drawn if the step says so", () => {
  const session = "01890a5d-ac96-774b-bcce-b302099a8057";
  const kit = { seed: "7", order: { rule: "rotation", block: 0, max_same: 0, known_share: 40 }, choices: 2 };
  const among = (targets: string[], trials: number, known: string[], k: Parameters<typeof sessionOrder>[0] = kit) => sessionOrder(k, targets, trials, session, known);
  const often = (order: { target: string }[], known: string[]) => order.filter((t) => known.includes(t.target)).length;
  expect(often(among(["a", "b"], 10, ["x", "y"]), ["x", "y"])).toBe(4);
  // A single target too: it repeats as often as its share requires.
  expect(often(among(["a"], 10, ["x"]), ["x"])).toBe(4);
  expect(often(among(["a"], 10, ["x"], { ...kit, order: { ...kit.order, known_share: 20 } }), ["x"])).toBe(2);
  expect(often(among(["a", "b"], 10, ["x"], { ...kit, order: { ...kit.order, known_share: 0 } }), ["x"])).toBe(0);
  for (const order of [among(["a", "b"], 10, []), among(["a"], 10, ["x"]), among([], 10, [])]) {
    expect(order.filter((t) => t.position === 1)).toHaveLength(5); // each position equally often
    expect(order.filter((t) => t.position === 2)).toHaveLength(5);
  }
  expect(among([], 4, []).every((t) => t.target === "")).toBe(true);
  expect(among(["a"], 4, [], { seed: "7", choices: 2 })).toEqual([{ target: "a", position: null }]);
});
