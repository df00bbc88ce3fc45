// One open session: what is stored of it and when it is sent. The pages around it are in recorder.ts.

import type { RecordingDocument, Trial } from "./contract";
import type { Clock } from "./clock";
import { closedWhere, hasContent, withField } from "./document";
import { lastKnown, toKept } from "./keep";
import type { Aside, FaceState, Keep, Kept, Stopped } from "./keep";
import { STOP_UNDO, closeIfOverdue, isStored, send } from "./send";

const SAVE_TRIES = 3;
const SAVE_PAUSE = 300; // ms

/** How long an open session may be continued, in ms. An older one can only be finished as it is. */
export const RESUME_WITHIN = 12 * 3_600_000;

/** What happened to a session that was sent. */
export type Sent = "stored" | "held" | "later";

export class OpenSession {
  private now: RecordingDocument;
  private dirty = false;
  private stop: Stopped | undefined;

  constructor(
    private readonly keep: Keep,
    doc: RecordingDocument,
    private readonly clock: Clock,
    private face?: FaceState | undefined,
  ) {
    this.now = doc;
  }

  /** The document as it is stored. */
  get doc(): RecordingDocument {
    return this.now;
  }

  get stopped(): Stopped | undefined {
    return this.stop;
  }

  /** What a face kept for itself, if it was this face. */
  stateOf(name: string): unknown {
    return this.face?.name === name ? this.face.state : undefined;
  }

  /** Milliseconds since the session began. */
  ms(): number {
    return this.clock.now();
  }

  private aside(): Aside {
    return { ...(this.stop ? { stopped: this.stop } : {}), ...(this.face ? { face: this.face } : {}), ms: this.clock.now() };
  }

  /**
   * Stores the document, and the face's state with it: the same as before if none is given, none if it is null. Resolves
   * when that is durable.
   */
  async save(doc: RecordingDocument, state?: FaceState | null): Promise<void> {
    const before = this.face;
    if (state !== undefined) this.face = state ?? undefined;
    if (doc.closing) this.face = undefined;
    try {
      await this.saving(doc, () => this.keep.put(toKept(doc, this.aside())));
    } catch (error) {
      this.face = before;
      throw error;
    }
  }

  /** Stores one trial of the document; resolves when that is durable. */
  tap(doc: RecordingDocument, trial: Trial): Promise<void> {
    return this.saving(doc, () => this.keep.tap(doc, trial, this.aside()));
  }

  private async saving(doc: RecordingDocument, put: () => Promise<void>): Promise<void> {
    for (let left = SAVE_TRIES; ; left--) {
      try {
        await put();
        break;
      } catch (error) {
        if (left <= 1) throw error;
        await new Promise((again) => window.setTimeout(again, SAVE_PAUSE));
      }
    }
    this.now = doc;
    this.dirty = true;
  }

  /** Stops it. Closing tries again to store that, should this fail. */
  async stopNow(doc: RecordingDocument, stopped: Stopped): Promise<void> {
    this.stop = stopped;
    await this.save(withField(doc, "ended_early", "distress"));
  }

  /** How long the stop can still be undone, in ms, by whichever clock went further: a sleeping phone stops one of them. */
  left(): number {
    return this.stop ? STOP_UNDO - Math.max(this.clock.now() - this.stop.ms, Date.now() - this.stop.at) : 0;
  }

  /** Whether the stop can be undone: the time is not over, and no other page has closed the session. */
  async undoable(): Promise<boolean> {
    if (this.stop === undefined || this.now.closing || this.left() <= 0) return false;
    const stored = await this.keep.get(this.now.id);
    return stored !== undefined && stored.doc.closing === undefined;
  }

  /** Undoes the stop. */
  async go(): Promise<void> {
    const before = this.stop;
    this.stop = undefined;
    await this.save(withField(this.now, "ended_early", "")).catch((error: unknown) => {
      this.stop = before;
      throw error;
    });
  }

  /** Closes a stopped session at the moment of the stop. Returns false if it is closed or not stopped. */
  async closeStop(): Promise<boolean> {
    const stopped = this.stop;
    if (!stopped || this.now.closing) return false;
    const noted = this.now.header.ended_early?.value ? this.now : withField(this.now, "ended_early", "distress");
    this.stop = undefined;
    await this.save(closedWhere(noted, stopped.ms));
    return true;
  }

  /** Closes it as done; forgets a stop. */
  async close(doc: RecordingDocument): Promise<void> {
    this.stop = undefined;
    await this.save(doc);
  }

  /** Sends it while it is open, if anything is new. */
  sendOpen(leaving: boolean): void {
    if (!this.dirty || this.now.closing || !hasContent(this.now)) return;
    this.dirty = false;
    void this.send(leaving).then((answer) => {
      if (answer !== "stored") this.dirty = true;
    });
  }

  /** Sends it once it is closed. */
  async sendClosed(): Promise<Sent> {
    await this.send(false);
    const now = await this.keep.get(this.now.id);
    if (!now || !isStored(now)) return "later";
    return now.receipt?.quarantined ? "held" : "stored";
  }

  private async send(leaving: boolean): Promise<string> {
    return (await send(this.keep, toKept(this.now, this.aside()), this.clock.unbroken ? this.clock.now() : undefined, leaving)).answer;
  }
}

/** Whether a stored session can be continued or finished by a person. */
export const isOpen = (k: Kept): boolean => k.doc !== undefined && !k.doc.closing && k.stopped === undefined && (hasContent(k.doc) || k.face !== undefined);

/** The open session of a placement, the last one begun; undefined if there is none. */
export async function openOf(keep: Keep, placement: string): Promise<Kept | undefined> {
  return (await keep.all()).filter((k) => k.placement === placement && isOpen(k)).pop();
}

/** Whether an open session may be continued, and not only finished as it is. */
export const canContinue = (k: Kept): boolean => Math.abs(Date.now() - k.changed) <= RESUME_WITHIN;

/** Closes an open session where it stands: what is written is kept and sent like any session. */
export async function finishAsItIs(keep: Keep, k: Kept): Promise<void> {
  if (hasContent(k.doc)) await closeIfOverdue(keep, k, true);
  else await keep.remove(k.id);
}

/** How far a session was when it was left, in ms from its start, the time since then included. */
export const sinceLeft = (k: Kept): number => lastKnown(k) + Math.max(0, Date.now() - k.changed);
