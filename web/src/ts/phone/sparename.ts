/** The cache of backup copies (spare.ts). No worker deletes it. */
export const SPARES = "newel-spare";
