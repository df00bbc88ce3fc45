package writing

import (
	"maps"
	"slices"
	"strings"

	"newel/internal/program"
)

// plain maps trade terms to words for caregivers. It only covers English; for
// text in other languages, jargon reports that it was not checked.
var plain = swapOf(map[string]string{
	"target": "what we teach", "targets": "what we teach", "sd": "cue",
	"independent": "without help", "independently": "without help",
	"prompt": "help", "prompts": "help", "prompting": "helping", "prompted": "helped",
	"fading": "less help", "prompt fading": "less help",
	"trial": "try", "trials": "tries", "opportunity": "turn", "opportunities": "turns",
	"mastery criterion": "when to move on", "mastery": "when to move on",
	"reinforcement": "the reward", "reinforcer": "the reward",
	"incorrect": "not yet", "error correction": "what to do when it does not work",
	"generalisation": "with other people, places and things", "generalization": "with other people, places and things",
	"maintenance": "we check again later", "baseline": "before we start",
	"phase change": "from here, we did it differently", "assent": "the child is willing",
	"integrity": "done as planned",
})

// The parts of a program and of a step that a caregiver reads.
var (
	readOfProgram = []string{
		"setting", "materials", "cautions", "stop_rule", "reinforcing", "say", "help_rule", "if_right", "if_not_yet", "if_says_no",
	}
	readOfStep = []string{
		"name", "say", "done_when", "context", "moment", "examples", "non_examples", "notice",
		"fits_people", "fits_place", "fits_materials",
	}
)

// jargon looks for trade terms in what a caregiver reads. It names what it
// cannot check, so that no one mistakes the absence of findings for approval.
func (r *reviewer) jargon() {
	if !r.english() {
		r.look(nil, "language", "check.jargon_unreviewed", "language", strings.TrimSpace(r.d.Language))
		return
	}
	if tags := r.otherLanguages(); len(tags) > 0 {
		r.look(nil, "say_in", "check.jargon_unreviewed", "language", strings.Join(tags, ", "))
	}
	for _, name := range readOfProgram {
		r.plainly(name)
	}
	for _, strand := range r.sheet.Strands {
		for _, key := range strand.Steps {
			for _, name := range readOfStep {
				r.plainly(program.StepField(key, name))
			}
		}
	}
}

// otherLanguages returns the languages other than English in which caregivers
// read parts of an English program.
func (r *reviewer) otherLanguages() []string {
	tags := map[string]bool{}
	add := func(w program.Wordings) {
		for _, tag := range w.Tags() {
			tags[tag] = tag != "en" && !strings.HasPrefix(tag, "en-")
		}
	}
	add(r.d.Procedure.SayIn)
	for _, s := range r.d.Strands {
		for _, step := range s.Steps {
			add(step.SayIn)
			for _, t := range step.Targets {
				add(t.In)
			}
		}
	}
	maps.DeleteFunc(tags, func(_ string, other bool) bool { return !other })
	return slices.Sorted(maps.Keys(tags))
}

func (r *reviewer) plainly(field string) {
	var found, instead []string
	text := plain.each(r.sheet.Fields[field], func(word, by string) {
		if lower := strings.ToLower(word); !slices.Contains(found, lower) {
			found, instead = append(found, lower), append(instead, by)
		}
	})
	if len(found) > 0 {
		r.look(&Fix{ID: "say_plainly", Field: field, Value: text}, field, "check.jargon",
			"words", strings.Join(found, ", "), "plain", strings.Join(instead, ", "))
	}
}
