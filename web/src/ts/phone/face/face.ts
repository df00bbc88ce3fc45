// What records one session on the screen. A face draws what is recorded and says what a tap means. The recorder
// around it (recorder.ts) starts, stores, sends, stops and finishes the session, whatever its face.
//
// A face is one file in this folder, loaded only when a step needs it (faces.ts). Its section is a template of the
// shell: <template id="t-face-NAME"> with one <section class="rec" data-part="NAME" hidden> in it, which begins with
// the corner row (recCorner in phonerecorder.templ: Undo, what is written so far, Stop). The recorder wires what is
// the same in every face, by attribute:
//
//   data-undo, data-stop, data-written      the corner row
//   data-finish-here                        "Finish here": asks once, then ends the session as ended_early "other"
//   data-cue                                the words to say
//   data-marks, data-so-far                 the last marks, and Face.progress().text
//   data-brief                              shows what the step asks (brief.ts); recAsk in phonefaces.templ has it,
//                                           with data-step, data-cue and data-counts
//   data-page-title                         a heading that takes the focus when the page appears
//
// Rules for every face:
//   - A tap is stored before the page changes: await what Session returns, then let draw() show it.
//   - draw() shows what the document and the state say, so that a reload or another tab shows the same.
//   - Time runs by this phone's clock (Date.now()) and is kept in the state as a moment, never as a counter.
//   - Nothing left blank becomes zero or an answer without help.
//   - What a face imports from outside of this folder comes from base.ts; types may come from anywhere.

import type { Answer, Header, Kit, RecordingDocument, Trial } from "../contract";
import type { Kind } from "../document";

/** What a face's section is filled from, before anything is tapped. The preview in the editor has no more. */
export interface Look {
  kit: Kit;
  /** The help that may be given, from a little to a lot; empty where one only looks (probe, baseline, check). */
  levels: string[];
}

/** The measured fields of a header that a face may set, each in its next revision; undefined removes the value. */
export type Fields = { [K in keyof Header]?: NonNullable<Header[K]>["value"] | undefined };

/** What a face may ask of the session that it records. S is the state that it keeps for itself. */
export interface Session<S = unknown> extends Look {
  readonly kind: Kind;
  /** The document as it is stored now. */
  readonly doc: RecordingDocument;
  /** How many tries are planned; One more raises it. */
  readonly plan: number;
  /**
   * What the face kept for itself, undefined at first. It is stored with the session on this phone, survives
   * reload, lock and update, and is never sent.
   */
  readonly state: S | undefined;
  /** Milliseconds since the session began. */
  now(): number;
  /**
   * Calls fn when something in the face's section is pressed, one press after the other. If fn fails, the page says
   * that nothing was saved. A second press of the same element within 300 ms is dropped (taps.ts) if once is set.
   */
  on(selector: string, fn: (e: HTMLElement) => Promise<void> | void, once?: boolean): void;
  /** Does something in turn with the taps, for what no tap starts: a clock that ran out. */
  inTurn(fn: () => Promise<void> | void): void;
  /**
   * Adds an answer as the next trial, and the new state with it. After "declined" the recorder shows the page that
   * offers Stop; once enough() is true, the page that offers Finish.
   */
  answer(answer: Answer, state?: S): Promise<void>;
  /** Puts a trial right: its number in a higher revision. Without an answer the trial is taken out. */
  revise(n: number, answer: Answer | undefined): Promise<void>;
  /** Sets measured fields, and the new state with them, at once. null: the state is forgotten. */
  set(fields: Fields, state?: S | null): Promise<void>;
  /** The place and target that the step's order plans for the next trial. */
  next(): { target?: string; position?: number | null } | undefined;
  /** The pictures of a target or step; none if they are not here. */
  picture(of: { picture?: Kit["picture"] } | undefined): Node[];
  /** Ends the session as complete. */
  finish(): Promise<void>;
}

/** One line of what is written so far. */
export interface Written {
  /** What was asked: a target, a part, "1st". */
  name: string;
  /** What is written of it. */
  label: string;
  mark?: Node | undefined;
  /** What it can be changed to. Without any, the line cannot be put right. */
  choices?: Choice[];
}

/** Another answer for a line. */
export interface Choice {
  label: string;
  mark?: Node | undefined;
  /** Whether this is what is written now. */
  now: boolean;
  choose(): Promise<void>;
}

/** The behavior of a face in one session. */
export interface Face {
  /** Draws what the document and the state say. Called when the face is shown and after each change. */
  draw(): void;
  /**
   * How much is written: in the corner row, such as "3 of 5"; the marks beside it; what is read out after a tap, if not
   * "Saved. 2 of 5."; and what comes next, read out after that.
   */
  progress(): { text: string; marks: Trial[]; spoken?: string; next?: string };
  /** Whether the session has what is planned. */
  enough(): boolean;
  /** One sentence about what is written, before finishing and after: "You recorded 5 tries." Empty: nothing is. */
  summary(): string;
  /** Every line of what is written. */
  written(): Written[];
  /**
   * Takes back the last tap. Returns false if there is nothing of its own to take back; then the recorder takes back
   * the last answer. Without this, the recorder always does.
   */
  undo?(): Promise<boolean>;
  /**
   * The fields to set when the session ends, stopped or finished, ms after its start: what a running clock has
   * measured by then.
   */
  ending?(ms: number): Fields;
  /** Whether Finish has to wait: what runs is asked about first. Shows its own question then. */
  holds?(): boolean;
  /** Whether several answers can be entered at once, afterwards. */
  readonly several?: boolean;
  /** Stops clocks and listeners: the page is left. */
  dispose?(): void;
}

/** What each file of a face exports, as "face". */
export interface FaceModule {
  /** The section, filled in from the kit. */
  section(look: Look): HTMLElement;
  /** Wires the section to a session. */
  attach(section: HTMLElement, session: Session): Face;
}
