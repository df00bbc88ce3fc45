package writing

import (
	"regexp"
	"strings"
)

// danger is a hazard that a program may involve, with the words that a caution
// about it would contain.
type danger struct {
	key      string
	found    *regexp.Regexp
	cautions *regexp.Regexp
	proposal string
}

func words(list string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(` + strings.ReplaceAll(list, " ", "|") + `)\b`)
}

// A match only asks the author to look.
var dangers = []danger{
	{
		"water",
		words("water bath baths bathtub sink basin tap taps pool swim swimming paddling kettle"),
		words("water wet hot lukewarm scald scalds slip slips slippery drown drowning"),
		"Water: an adult tests that it is lukewarm, wipes the floor, and never leaves the child alone with it.",
	},
	{
		"road",
		words("road roads street streets traffic crossing pavement bus car cars car-park parking"),
		words("road roads street streets traffic crossing cars"),
		"Road: an adult stays within reach on the side of the traffic and decides alone when to go.",
	},
	{
		"small_parts",
		words("coin coins button buttons bead beads marble marbles peg pegs die dice counter counters pebble pebbles bean beans battery batteries magnet magnets"),
		words("small swallow swallows swallowed choke choking mouth mouths size cm"),
		"Small parts: nothing that fits into a child’s mouth; an adult counts the pieces before and after.",
	},
}

// cautions looks for food, water, roads and small parts that no caution
// mentions.
func (r *reviewer) cautions() {
	said := r.d.Cautions
	for _, m := range r.d.Materials {
		said += "\n" + m.Caution
	}
	r.food(said)
	if !r.english() {
		return
	}
	about := r.about()
	for _, d := range dangers {
		if word := d.found.FindString(about); word != "" && !d.cautions.MatchString(said) {
			r.look(r.said("caution_"+d.key, "cautions", d.proposal), "cautions", "check."+d.key, "word", word)
		}
	}
}

// about returns what the program says, without its cautions.
func (r *reviewer) about() string {
	var b strings.Builder
	add := func(texts ...string) { b.WriteString(strings.Join(texts, "\n") + "\n") }
	add(r.d.Title, r.d.Setting, r.d.Generalize, r.d.Procedure.Say)
	for _, m := range r.d.Materials {
		add(m.Text)
	}
	for _, s := range r.d.Strands {
		for _, step := range s.Steps {
			add(step.Name, step.Say, step.Context, step.Moment, step.Fits.Place, step.Fits.Materials)
			for _, t := range step.Targets {
				add(t.Name)
			}
		}
	}
	return b.String()
}

var allergies = regexp.MustCompile(`(?i)allerg`)

// food checks that a food reward has a line about allergies. In languages other
// than English, any caution counts.
func (r *reviewer) food(said string) {
	rewarded := false
	for _, s := range r.d.Strands {
		for _, step := range s.Steps {
			rewarded = rewarded || step.FoodReward
		}
	}
	warned := allergies.MatchString(said) || !r.english() && strings.TrimSpace(said) != ""
	if rewarded && !warned {
		r.look(r.said("caution_food", "cautions", "Food: only what the caregiver agreed to. Look at allergies and choking first."),
			"cautions", "check.food_allergies")
	}
}
