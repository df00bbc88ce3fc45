// Input in a draft that the server has not stored yet: kept in this browser until it is, whatever happens to
// the page, and offered to its author again.

/** One field that the server has not stored: its text, and the revision that it was based on. */
export interface Kept {
  value: string;
  rev: string;
}

/** The kept fields of one draft. */
export interface Keep {
  who: string;
  fields: Record<string, Kept>;
}

export class DraftKeep {
  private readonly key: string;

  constructor(
    path: string,
    private readonly who: string,
  ) {
    this.key = `newel-draft:${path}`;
  }

  /** What is kept for the account that is signed in. */
  read(): Record<string, Kept> {
    try {
      const kept = JSON.parse(localStorage.getItem(this.key) ?? "null") as Keep | null;
      return kept && kept.who === this.who ? kept.fields : {};
    } catch {
      return {};
    }
  }

  /** Adds fields to those already kept. */
  put(fields: Record<string, Kept>): void {
    this.write({ ...this.read(), ...fields });
  }

  /** Drops fields whose kept text is now stored. */
  drop(stored: ReadonlyMap<string, string>): void {
    const fields = this.read();
    for (const [name, value] of stored) {
      if (fields[name] && fields[name].value === value) delete fields[name];
    }
    this.write(fields);
  }

  clear(): void {
    this.write({});
  }

  private write(fields: Record<string, Kept>): void {
    try {
      if (Object.keys(fields).length === 0) localStorage.removeItem(this.key);
      else localStorage.setItem(this.key, JSON.stringify({ who: this.who, fields } satisfies Keep));
    } catch {
      // No room or not allowed: the page itself still has it.
    }
  }
}
