package program

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strconv"

	"newel/internal/measure"
	"newel/internal/newel"
)

// KitFor is what a kit depends on besides the program and the learner.
type KitFor struct {
	Language string   // the family's, BCP 47
	Met      []string // keys of met targets, if they are mastered one by one
}

// MakeKit builds what a phone needs to teach one placement, except the people.
// It omits prompts that involve touch unless touch is currently allowed for
// this learner, whatever applied when the program was assigned.
func MakeKit(p newel.Placement, overrides map[string]newel.StepOverride, l newel.Learner, d *Document, to KitFor) Kit {
	strand, step := d.Step(p.StepKey)
	if step == nil {
		return Kit{} // cannot happen: placements refer to steps of their version
	}
	own := step.With(overrides[p.StepKey])
	kit := Kit{
		Contract: KitContract, Placement: p.ID, Learner: l.Nickname, Program: d.Title, Role: strand.Role.Name,
		StepLabel: own.Label, StepName: own.Name, Say: own.Say, DoneWhen: own.DoneWhen, Context: own.Context,
		WaitSeconds: d.Procedure.WaitSeconds, HelpRule: d.Procedure.HelpRule, IfRight: d.Procedure.IfRight,
		IfNotYet: d.Procedure.IfNotYet, IfSaysNo: d.Procedure.IfSaysNo,
		Materials: listed(d.Materials), Cautions: d.Cautions, StopRule: d.StopRule,
		StopSigns: l.Care.StopSigns, Alerts: l.Care.Alerts,
		HelpLevels: []string{}, Measure: own.Measure, TrialByTrial: own.OneByOne(), Fits: own.Fits, Tokens: own.Tokens,
		Trials: own.Trials, Minutes: own.Minutes, Choices: own.Choices, People: []KitPerson{},
		Moment: own.Moment, Actions: strand.Role.Actions, Examples: own.Examples, NonExamples: own.NonExamples,
		Seed: orderSeed(p), Order: own.Order, Notice: own.Notice, PressToShow: own.PressToShow, Picture: own.Picture,
	}
	kit.measured(&own, to.Language)
	if own.WaitSeconds != nil {
		kit.WaitSeconds = *own.WaitSeconds
	}
	taught, met, _ := own.CurrentTargets(to.Met)
	kit.Targets, kit.Known = named(taught, to.Language), named(d.knownCards(&own, met), to.Language)
	kit.say(d, step, own.Say, to.Language)
	for _, level := range d.HelpLevels {
		if !level.Touch || l.Care.TouchAllowed {
			kit.HelpLevels = append(kit.HelpLevels, level.Name)
			if level.Name == p.PlannedHelp {
				kit.PlannedHelp = level.Name
			}
		}
	}
	return kit
}

// measured sets what the step's measure needs in order to be recorded.
func (k *Kit) measured(s *Step, language string) {
	switch s.Measure {
	case MeasureLatency, MeasureRecovery:
		k.LimitSeconds = s.LimitSeconds
	case MeasureExpectations:
		k.Expectations = slices.Clone(s.Expectations)
		for i := range k.Expectations {
			k.Expectations[i].Name = k.Expectations[i].In.For(language, k.Expectations[i].Name)
		}
	case MeasureChain:
		k.Chain = s.Chain
		for _, t := range s.Taught() {
			k.Taught = append(k.Taught, t.Key)
		}
		for _, t := range s.Targets {
			if t.Name == s.TaughtPart {
				k.TaughtPart = t.Key
			}
		}
	case MeasureIntervals:
		k.IntervalKind, k.IntervalSeconds, k.Intervals = s.IntervalKind, s.IntervalSeconds, s.Intervals()
	}
}

// orderSeed derives the seed from the placement, so that every phone of the
// family and the server compute the same order.
func orderSeed(p newel.Placement) string {
	sum := sha256.Sum256([]byte("trial order " + p.ID.String() + " " + p.VersionID.String()))
	return strconv.FormatUint(binary.BigEndian.Uint64(sum[:8]), 10)
}

// Kit is everything a phone needs to teach and record one placement offline. It
// contains the child's nickname only.
type Kit struct {
	Contract    int               `json:"contract"`
	Placement   newel.PlacementID `json:"placement"`
	Learner     string            `json:"learner"`
	Program     string            `json:"program"`
	Role        string            `json:"role"`
	StepLabel   string            `json:"step_label"`
	StepName    string            `json:"step_name"`
	Say         string            `json:"say"`
	WaitSeconds float64           `json:"wait_seconds"`
	HelpRule    string            `json:"help_rule"`
	IfRight     string            `json:"if_right"`
	IfNotYet    string            `json:"if_not_yet"`
	IfSaysNo    string            `json:"if_says_no"`
	DoneWhen    string            `json:"done_when"`
	Context     string            `json:"context"`
	Materials   []Material        `json:"materials"`
	Cautions    string            `json:"cautions"`
	StopRule    string            `json:"stop_rule"`
	StopSigns   string            `json:"stop_signs"`
	Alerts      newel.Alerts      `json:"alerts"`
	HelpLevels  []string          `json:"help_levels"`
	PlannedHelp string            `json:"planned_help"`
	Measure     Measure           `json:"measure"`
	Targets     []Target          `json:"targets"`
	Trials      int               `json:"trials"`
	Minutes     int               `json:"minutes"`
	Choices     int               `json:"choices"`
	// Seed determines the order of the trials: 64 bits in decimal digits,
	// constant for a placement while its version is. It is a string because
	// numbers in a browser hold only 53 bits.
	Seed        string            `json:"seed"`
	Order       Order             `json:"order,omitzero"` // how targets follow one another; in turn if it has no rule
	Notice      string            `json:"notice,omitempty"`
	PressToShow bool              `json:"held,omitempty"` // a target is shown only while held
	Picture     *newel.PictureRef `json:"picture,omitempty"`
	// Known are mastered targets to intersperse if the order has a share of
	// them. With TrialByTrial, Targets are those of the step being taught now, and
	// each is evaluated individually.
	Known        []Target `json:"known,omitempty"`
	TrialByTrial bool     `json:"one_by_one,omitempty"`
	Fits         Fits     `json:"fits,omitzero"` // requirements for a session to count
	Tokens       int      `json:"tokens,omitempty"`
	LimitSeconds float64  `json:"limit_seconds,omitempty"` // for the response, or until steady again
	// Targets are the parts of a chain, in order. The adult does those that are
	// not in Taught, as planned. TaughtPart is the key of the part being taught.
	Chain        Chain         `json:"chain,omitempty"`
	TaughtPart   string        `json:"taught_part,omitempty"`
	Taught       []string      `json:"taught,omitempty"` // keys
	Expectations []Expectation `json:"expectations,omitempty"`
	// Intervals are observed one after another, each of IntervalSeconds.
	IntervalKind    measure.IntervalKind `json:"interval_kind,omitempty"`
	IntervalSeconds float64              `json:"interval_seconds,omitempty"`
	Intervals       int                  `json:"intervals,omitempty"`
	SayIn           []Saying             `json:"say_in,omitempty"` // Say in every available language, if there are several
	// What makes scoring reliable: what one try is if the adult does not simply
	// ask, what the child's role does, and what counts beside DoneWhen.
	Moment      string          `json:"moment,omitempty"`
	Actions     string          `json:"actions,omitempty"`
	Examples    []string        `json:"examples,omitempty"`
	NonExamples []string        `json:"non_examples,omitempty"`
	People      []KitPerson     `json:"people"` // who may have taught
	Self        *newel.PersonID `json:"self"`   // the person this phone belongs to
}

// Saying is the exact wording in one language.
type Saying struct {
	Lang string `json:"lang"` // BCP 47
	Name string `json:"name"` // the language's own name for itself
	Text string `json:"text"`
}

// KitPerson is a person who can be selected as having taught.
type KitPerson struct {
	ID   newel.PersonID `json:"id"`
	Name string         `json:"name"`
}

// KitContract is the version of the kit format.
const KitContract = 1

// HelpLevelAt returns the planned level by levels away from the current one: -1
// for one less. levels are in order from least to most; no help is "", below
// the least. ok is false if there is no such level, or if planned is not one of
// the levels.
func HelpLevelAt(levels []string, planned string, by int) (level string, is bool) {
	at := slices.Index(levels, planned) + 1
	if planned != "" && at == 0 || at+by < 0 || at+by > len(levels) {
		return "", false
	}
	if at+by == 0 {
		return "", true
	}
	return levels[at+by-1], true
}

// Body returns the kit as sent and its SHA-256 in hex.
func (k Kit) Body() (body []byte, hash string, err error) {
	if body, err = json.Marshal(k); err != nil {
		return nil, "", err
	}
	sum := sha256.Sum256(body)
	return body, hex.EncodeToString(sum[:]), nil
}
