// What was typed into a draft and is not yet stored by the server: kept in this browser until it is, whatever happens
// to the page, and offered again to whoever typed it.

/** One field that the server has not stored: its text, and the revision that it was typed into. */
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

  /** What is kept for whoever is signed in now. */
  read(): Record<string, Kept> {
    try {
      const kept = JSON.parse(localStorage.getItem(this.key) ?? "null") as Keep | null;
      return kept && kept.who === this.who ? kept.fields : {};
    } catch {
      return {};
    }
  }

  /** Keeps fields beside those that are kept already. */
  put(fields: Record<string, Kept>): void {
    this.write({ ...this.read(), ...fields });
  }

  /** Forgets fields: those that still hold the text that is stored now. */
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
      // No room or not allowed: the page itself still holds it.
    }
  }
}
