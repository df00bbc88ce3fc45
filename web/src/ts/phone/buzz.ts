// Each answer feels different in the hand, so that no one has to look.

const PATTERNS: Record<string, number[]> = {
  alone: [35], help: [20, 50, 20], not_yet: [90], no_response: [15], declined: [20, 40, 20, 40, 20], no_chance: [10], undo: [60, 60, 60], stop: [150], cover: [10, 30, 10], limit: [200],
};

export function buzz(kind: string): void {
  if ("vibrate" in navigator) navigator.vibrate(PATTERNS[kind] ?? [20]);
}
