package view

import (
	"slices"
	"sort"

	"newel/internal/message"
)

// PhoneShell is the single document for everything that a caregiver's phone
// shows offline: Today, How to teach, the recorder, the lock. It names no
// person, child or family. Its bytes are the same for everyone, so shared
// caches may store it. The content comes from the account's own database on the
// phone.
type PhoneShell struct {
	Page Page
	T    *message.Printer
}

// shellWords are the texts that the script fills in; all others are in the
// shell's templates.
var shellWords = []string{
	"today.tries", "today.minutes", "today.steps", "today.rests", "today.told", "today.said_only", "today.said_by", "today.said_someone", "today.lifted", "today.nothing", "today.others", "today.stop",
	"today.go_on", "today.began", "today.began_by", "today.began_tries", "today.elsewhere", "today.check_text", "today.i_am", "today.all",
	"today.done_by", "today.afterwards", "today.stopped", "today.with_help", "today.times", "today.seconds", "today.intervals", "today.fact_was", "today.fact_now", "today.fact_learned", "today.fact_step",
	"today.paused", "today.paused_until", "today.paused_no", "today.learned_on", "today.ended_on",
	"today.allergy", "today.choking", "today.seizure", "today.mouthing",
	"teach.seconds", "teach.help_today", "teach.help_alone", "teach.stop_signs",
	"recorder.of", "recorder.ready", "recorder.unkept", "recorder.unkept_stop", "recorder.enough_text", "recorder.seconds_left", "recorder.done_tries", "recorder.done_title",
	"recorder.on_phone", "recorder.sent", "recorder.held", "recorder.saved", "recorder.not_saved", "recorder.undone",
	"recorder.try_n", "recorder.rests",
	"recorder.no_face", "recorder.written_see", "recorder.take_out", "recorder.is_written", "recorder.finish_here_fine", "recorder.finish_here_none", "recorder.finish_here_no",
	"recorder.declined", "recorder.declined_text", "recorder.declined_saved", "recorder.came_back", "recorder.second_no", "recorder.second_no_text",
	"recorder.counts_when", "recorder.next_card", "recorder.only_look", "teach.actions", "teach.actions_role",
	"recorder.kind_teaching", "recorder.kind_probe", "recorder.kind_baseline", "recorder.kind_maintenance",
	"recorder.why_probe", "recorder.why_baseline", "recorder.why_maintenance", "recorder.start", "recorder.start_looking",
	"recorder.mark.help", "recorder.alone",
	"recorder.with", "recorder.place_of", "recorder.exchange", "recorder.tokens", "recorder.unfit",
	"phone.title.today", "phone.title.teach", "phone.title.record", "phone.title.leave", "phone.title.lock", "phone.title.who", "phone.title.hand", "phone.title.saved_file", "phone.today", "phone.yesterday", "phone.pin", "phone.pin_has", "phone.pin_has_not", "phone.back", "phone.this_phone",
	"phone.from", "phone.poison", "phone.unreadable", "phone.talk_untaken", "phone.held_here", "phone.leave_unsent", "phone.leave_letters", "phone.leave_none", "phone.letter_poison", "phone.person", "phone.try_again", "phone.pin_wrong", "phone.pin_wait",
	"phone.resume_at", "phone.resume_measured", "phone.resume_gap", "phone.planned", "phone.sealed_none", "phone.rescue_name", "phone.no_signal", "phone.pin_set", "phone.pin_bad", "phone.pin_spent", "phone.unlock_here", "phone.unlocking",
	"phone.gone", "phone.agreed", "phone.messages", "phone.spared", "phone.ended", "phone.not_here",
	"face.chain_adult", "face.chain_done", "face.chain_part", "face.chain_spoken", "face.chain_then", "face.expect_left", "face.expect_line", "face.expect_touched", "face.help", "face.latency_limit", "face.latency_none", "face.latency_spoken", "face.no_turn", "face.not_yet", "face.recovery_after", "face.recovery_limit", "face.recovery_none", "face.recovery_not_steady", "face.recovery_spoken", "face.recovery_steady",
	"face.of_minutes", "face.nothing_counts", "face.paused", "face.minutes_over", "face.clock_stopped", "face.times", "face.saved_times", "face.counted_in", "face.counted", "face.counted_no_clock",
	"face.no_clock_used", "face.line_count", "face.line_time", "face.minutes",
	"face.it_starts", "face.it_stops", "face.nth", "face.nth_running", "face.together_none", "face.together", "face.about", "face.saved_never", "face.saved_running",
	"face.ran_for", "face.longest", "face.summary_never", "face.summary_bouts", "face.summary_estimated",
	"face.interval_plan", "face.how_partial", "face.how_whole", "face.how_momentary", "face.kind_partial", "face.kind_whole", "face.kind_momentary",
	"face.interval", "face.interval_of", "face.left", "face.yes", "face.no", "face.yes_later", "face.no_later", "face.asked", "face.waiting",
	"face.watch_partial", "face.watch_whole", "face.watch_momentary", "face.saved", "face.tally", "face.not_seen", "face.summary_intervals", "face.summary_unseen",
	"start.read", "start.shown", "start.practised", "start.alone", "start.asks_read", "start.other",
}

// shellWord is one text in all its plural forms.
type shellWord struct {
	Key, By string
	Forms   []shellForm
}

type shellForm struct{ Name, Text string }

// pendingWords are the texts of the line about what is not sent yet, on every
// page that a phone may show.
var pendingWords = []string{
	"outbox.waiting", "outbox.sign_in", "outbox.attention", "outbox.held", "outbox.stored", "outbox.letters", "outbox.letter_trouble",
	"phone.portal", "phone.refused", "phone.waits_long", "phone.others_wait", "phone.others_letters",
}

// outboxWords are the texts of a caregiver's pages about what was written on
// the phone.
var outboxWords = append(slices.Clone(pendingWords),
	"outbox.letter_waits", "outbox.letter_stored", "outbox.letter_unkept", "outbox.letter_answered", "outbox.letter_refused",
	"outbox.letter_wrong", "outbox.missing", "phone.copy_from",
)

func (p PhoneShell) words() []shellWord {
	return wordsFor(p.T, append(slices.Clone(shellWords), pendingWords...))
}

func (p Page) pendingWords() []shellWord { return wordsFor(p.T, pendingWords) }

func (p Page) outboxWords() []shellWord { return wordsFor(p.T, outboxWords) }

func wordsFor(t *message.Printer, keys []string) []shellWord {
	out := make([]shellWord, len(keys))
	for i, key := range keys {
		by, forms := t.Forms(key)
		w := shellWord{Key: key, By: by}
		for name, text := range forms {
			w.Forms = append(w.Forms, shellForm{name, text})
		}
		sort.Slice(w.Forms, func(i, j int) bool { return w.Forms[i].Name < w.Forms[j].Name })
		out[i] = w
	}
	return out
}

// markSlots returns the marks that the script copies, by name.
func (p PhoneShell) markSlots() []markSlot {
	return []markSlot{
		{"alone", MarkAlone, p.T.Text("recorder.mark.alone")},
		{"help-1", MarkHelp1, ""},
		{"help-2", MarkHelp2, ""},
		{"help-3", MarkHelp3, ""},
		{"help-4", MarkHelp4, ""},
		{"not_yet", MarkNotYet, p.T.Text("recorder.mark.not_yet")},
		{"no_response", MarkNoResponse, p.T.Text("recorder.mark.no_response")},
		{"declined", MarkSaidNo, p.T.Text("recorder.mark.said_no")},
		{"no_chance", MarkNoChance, p.T.Text("recorder.mark.no_chance")},
		{"adult_part", MarkAdultPart, p.T.Text("recorder.mark.adult_part")},
	}
}

type markSlot struct {
	Key  string
	Mark Mark
	Name string
}
