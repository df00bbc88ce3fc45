/** The cache of spare copies (spare.ts). No worker takes it away. */
export const SPARES = "newel-spare";
