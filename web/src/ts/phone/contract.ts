// Written by the tests of internal/recording from the Go types; make generate regenerates it.

export const CONTRACT = 2;
export const MEDIA_TYPE = "application/vnd.newel.recording+json";
export const RECEIPT_MEDIA_TYPE = "application/vnd.newel.receipt+json";
export const SENT_HEADER = "Newel-Sent";
export const SEALED_MEDIA_TYPE = "application/vnd.newel.sealed+json";
export const RECEIPTS_MEDIA_TYPE = "application/vnd.newel.receipts+json";
export const DAY_MEDIA_TYPE = "application/vnd.newel.day+json";
export const UNSENT_HEADER = "Newel-Unsent";
export const TOLD_HEADER = "Newel-Told";
export const SEAL_INFO = "newel-sealed-1";
export const MAX_CHECKED = 50;
export const MAX_TRIALS = 500;
export const MAX_REV = 9999;
export const MAX_COUNT = 100000;
export const MAX_MEASURED = 2000;

/** A value that can be corrected: the highest revision counts. */
export interface Revised<T> {
  rev: number;
  value?: T;
}

export interface PictureRef {
  sha256: string;
  type: string;
  size: number;
  alt: string;
}

export interface Target {
  key: string;
  name: string;
  card: string;
  picture?: PictureRef;
  in?: Record<string, string>;
  set?: string;
}

export interface Material {
  text: string;
  caution: string;
}

export interface Alerts {
  asked: boolean;
  allergy: string;
  choking: string;
  seizure: string;
  mouthing: string;
}

export interface Order {
  rule: string;
  block: number;
  known: string[];
  known_share: number;
  max_same: number;
}

export interface Fits {
  people?: string;
  place?: string;
  materials?: string;
}

export interface Expectation {
  key: string;
  name: string;
  in?: Record<string, string>;
}

export interface Saying {
  lang: string;
  name: string;
  text: string;
}

export interface KitPerson {
  id: string;
  name: string;
}

export interface Kit {
  contract: number;
  placement: string;
  learner: string;
  program: string;
  role: string;
  step_label: string;
  step_name: string;
  say: string;
  wait_seconds: number;
  help_rule: string;
  if_right: string;
  if_not_yet: string;
  if_says_no: string;
  done_when: string;
  context: string;
  materials: Material[];
  cautions: string;
  stop_rule: string;
  stop_signs: string;
  alerts: Alerts;
  help_levels: string[];
  planned_help: string;
  measure: "trials" | "latency" | "recovery" | "expectations" | "chain" | "count" | "duration" | "intervals";
  targets: Target[];
  trials: number;
  minutes: number;
  choices: number;
  seed: string;
  order?: Order;
  notice?: string;
  held?: boolean;
  picture?: PictureRef;
  known?: Target[];
  one_by_one?: boolean;
  fits?: Fits;
  tokens?: number;
  limit_seconds?: number;
  chain?: "forward" | "backward" | "total";
  taught_part?: string;
  taught?: string[];
  expectations?: Expectation[];
  interval_kind?: "partial" | "whole" | "momentary";
  interval_seconds?: number;
  intervals?: number;
  say_in?: Saying[];
  moment?: string;
  actions?: string;
  examples?: string[];
  non_examples?: string[];
  people: KitPerson[];
  self: string | null;
}

export interface KitRef {
  id: string;
  hash: string;
}

export interface Expected {
  key: string;
  outcome: "correct" | "incorrect" | "no_response" | "declined" | "no_chance" | "adult_part";
  help?: string;
}

export interface Answer {
  target?: string;
  outcome: "correct" | "incorrect" | "no_response" | "declined" | "no_chance" | "adult_part";
  help?: string;
  latency_ms?: number;
  none?: boolean;
  choices?: number;
  position?: number;
  recovery_ms?: number;
  recovery_none?: boolean;
  adjusted?: boolean;
  expected?: Expected[];
}

export interface Trial {
  n: number;
  rev: number;
  at_ms: number;
  answer?: Answer;
  void?: boolean;
}

export interface Closing {
  last: number;
  end_ms: number;
  ended_at: string;
}

export interface Header {
  by: Revised<string>;
  kind: Revised<"teaching" | "probe" | "baseline" | "maintenance">;
  how: Revised<"live" | "afterwards">;
  planned_help?: Revised<string>;
  ended_early?: Revised<"" | "distress" | "other">;
  place?: Revised<string>;
  present?: Revised<string[]>;
  count?: Revised<number>;
  observed_ms?: Revised<number>;
  durations_ms?: Revised<number[]>;
  intervals?: Revised<boolean[]>;
  unfit?: Revised<("people" | "place" | "materials")[]>;
  happened_on?: Revised<string>;
  about?: Revised<string>;
  place_name?: Revised<string>;
  place_sort?: Revised<"home" | "out" | "school" | "clinic">;
  estimated?: Revised<number[]>;
  interval_kind?: Revised<"partial" | "whole" | "momentary">;
  interval_ms?: Revised<number>;
  unseen?: Revised<number[]>;
  clock?: Revised<"used" | "none">;
  note?: Revised<string>;
}

export interface RecordingDocument {
  contract: number;
  id: string;
  placement: string;
  author: string;
  kit: KitRef;
  device: string;
  started_at: string;
  header: Header;
  trials: Trial[];
  closing?: Closing;
}

export interface Receipt {
  contract: number;
  id: string;
  sha256: string;
  safe_through: number;
  closed: boolean;
  stored_at: string;
  quarantined?: boolean;
}

export interface Sealed {
  contract: number;
  id: string;
  key: string;
  epk: string;
  iv: string;
  data: string;
}

export interface Checked {
  id: string;
  known: boolean;
  stored: boolean;
  sha256: string;
  closed: boolean;
  quarantined: boolean;
  gone: boolean;
}

export interface Receipts {
  contract: number;
  receipts: Checked[];
}

export interface Rescue {
  contract: number;
  sealed: Sealed[];
}

export interface RescuedItem {
  id: string;
  outcome: string;
  text: string;
  receipt?: Receipt;
}

export interface Rescued {
  contract: number;
  items: RescuedItem[];
}

export interface DayStep {
  label: string;
  help: boolean;
}

export interface DayStart {
  from: "" | "read" | "shown" | "practised" | "alone";
  state: "" | "read" | "shown" | "practised" | "alone";
  wanting: string[];
}

export interface Said {
  line: string;
  by: string;
  at: string;
}

export interface Lifted {
  line: string;
  by: string;
  agreed_on: string;
  at: string;
}

export interface DayOffer {
  assignment: string;
  placement: string;
  title: string;
  role: string;
  trials: number;
  minutes: number;
  steps: DayStep[];
  here: number;
  step: string;
  note: string;
  note_by: string;
  note_on: string;
  start: DayStart;
  said: Said[];
  lifted: Lifted | null;
  kinds: ("teaching" | "probe" | "baseline" | "maintenance")[];
}

export interface DayCheck {
  assignment: string;
  placement: string;
  title: string;
  role: string;
  step: string;
  since: string;
  learned: string;
  trials: number;
  start: DayStart;
}

export interface DaySession {
  id: string;
  assignment: string;
  placement: string;
  title: string;
  role: string;
  kind: string;
  by_name: string;
  began: string;
  ended: string;
  afterwards: boolean;
  stopped: boolean;
  trials: number;
  marks: string[];
  count?: number;
  seconds?: number;
  intervals?: boolean[];
}

export interface DayProgram {
  assignment: string;
  placement: string;
  title: string;
  role: string;
  step: string;
  steps: DayStep[];
  here: number;
  on: string;
  until: string;
  learned: boolean;
}

export interface DayFact {
  kind: string;
  title: string;
  was_step: string;
  was_on: string;
  was_n: number;
  was_of: number;
  now_step: string;
  now_on: string;
  now_n: number;
  now_of: number;
}

export interface DayLearner {
  id: string;
  nickname: string;
  stop_signs: string;
  alerts: Alerts;
  next: DayOffer | null;
  others: DayOffer[];
  resting: DayOffer[];
  checks: DayCheck[];
  done: DaySession[];
  begun: DaySession[];
  paused: DayProgram[];
  finished: DayProgram[];
  fact: DayFact | null;
}

export interface DayKit {
  hash: string;
  kit: Kit;
}

export interface SealKey {
  kid: string;
  kty: string;
  crv: string;
  x: string;
  y: string;
}

export interface PhoneDay {
  contract: number;
  as_of: string;
  today: string;
  account: string;
  name: string;
  device: string;
  learners: DayLearner[];
  kits: DayKit[];
  seal_key: SealKey;
  pin_set: boolean;
  questions: number;
  agreed: number;
  messages: number;
  review: string;
  lost: string[];
}

export interface PhoneAccount {
  account: string;
  initials: string;
  current: boolean;
  pin_set: boolean;
  wait_s: number;
}

export interface PhoneAccounts {
  accounts: PhoneAccount[];
}

export interface HaveRead {
  id: string;
  assignment: string;
}

export interface Talked {
  id: string;
  assignment: string;
  rests: boolean;
}
