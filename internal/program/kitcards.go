package program

import (
	"slices"
	"strings"

	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
)

// TrialByTrial reports whether the step's targets are mastered individually.
func (s *Step) OneByOne() bool {
	return s.AtOnce > 0 && len(s.Targets) > 1 && s.Measure.ByTrial() && s.Measure != MeasureChain
}

// CurrentTargets divides the targets into those being taught, those met and
// those waiting, given the keys of the met ones. If targets are mastered
// together, all are taught; they are taught again once all are met.
func (s *Step) CurrentTargets(keys []string) (taught, met, later []Target) {
	if !s.OneByOne() {
		return s.Targets, nil, nil
	}
	for _, t := range s.Targets {
		switch {
		case slices.Contains(keys, t.Key):
			met = append(met, t)
		case len(taught) < s.AtOnce:
			taught = append(taught, t)
		default:
			later = append(later, t)
		}
	}
	if len(taught) == 0 {
		return met, nil, nil
	}
	return taught, met, later
}

// maxKnown is the maximum number of known targets in a session.
const maxKnown = 20

// Known returns the known targets that the step's order lists: targets of the
// program with that name or key, and new targets for other names. None of them
// is one of the step's own.
func (d *Document) Known(s *Step) []Target {
	var known []Target
	for _, name := range s.Order.Known {
		t := d.targetNamed(name)
		own := func(o Target) bool { return o.Key == t.Key || strings.EqualFold(o.Name, t.Name) }
		if strings.TrimSpace(name) != "" && !slices.ContainsFunc(s.Targets, own) && !slices.ContainsFunc(known, own) {
			known = append(known, t)
		}
	}
	return known
}

// targetNamed returns the program's target with that name, or a new target.
func (d *Document) targetNamed(name string) Target {
	name = strings.TrimSpace(name)
	for _, strand := range d.Strands {
		for _, step := range strand.Steps {
			for _, t := range step.Targets {
				if t.Key == name || strings.EqualFold(t.Name, name) {
					return t
				}
			}
		}
	}
	return Target{Key: name, Name: name}
}

// knownCards returns the targets to intersperse in the step's sessions: none
// unless its order has a share of known targets.
func (d *Document) knownCards(s *Step, met []Target) []Target {
	if s.Order.Rule != OrderRotation || s.Order.KnownShare <= 0 {
		return nil
	}
	known := append(d.Known(s), met...)
	return known[:min(len(known), maxKnown)]
}

// named returns the targets with their names in a language.
func named(targets []Target, lang string) []Target {
	out := slices.Clone(listed(targets))
	for i := range out {
		out[i].Name = out[i].In.For(lang, out[i].Name)
	}
	return out
}

// say sets the exact wording, in the family's language if available. The step's
// own words are translated only by the step's translations; one learner's
// individualized words have none.
func (k *Kit) say(d *Document, step *Step, own, family string) {
	words, in := own, Wordings{}
	if own == step.Say {
		if own == "" {
			words = d.Procedure.Say
			for tag, text := range d.Procedure.SayIn {
				in[tag] = text
			}
		}
		for tag, text := range step.SayIn {
			in[tag] = text
		}
	}
	if words != "" && d.Language != "" {
		in[d.Language] = words
	}
	k.Say = in.For(family, words)
	if len(in) < 2 {
		return
	}
	for _, tag := range in.Tags() {
		k.SayIn = append(k.SayIn, Saying{tag, languageName(tag), in[tag]})
	}
}

// languageName returns a language's name for itself, or its tag.
func languageName(tag string) string {
	parsed, err := language.Parse(tag)
	if name := display.Self.Name(parsed); err == nil && name != "" {
		return name
	}
	return tag
}
