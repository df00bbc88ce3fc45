package recording

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Why is why something is surplus rather than part of the recording.
type Why string

// The reasons. Both sides of a contradiction are stored; the rule that picks
// the one in effect does not depend on arrival order.
const (
	// WhyBeyond: a trial after the last one of the closing document.
	WhyBeyond Why = "beyond"
	// WhyLater: a revision that the closing document did not have.
	WhyLater Why = "later"
	// WhyDiffers: the same revision with different content.
	WhyDiffers Why = "differs"
)

// Ref identifies one surplus item. It never changes.
type Ref string

// Surplus is one item that is stored but not part of the recording: never
// counted, never lost, until a person joins it or sets it aside. Exactly one of
// Trial, Field, Closing and Origin is set.
type Surplus struct {
	Ref     Ref
	Why     Why
	Trial   *Trial
	Field   *Field
	Closing *Document
	Origin  *Origin
}

// Field is one revision of a header field with its JSON value, which is empty
// if the field was cleared.
type Field struct {
	Name  FieldName
	Rev   int
	Value string
}

// inEffect is what counts before any amendment.
type inEffect struct {
	origin  Origin
	facts   map[slot]fact
	closing *Document
	// Canonical forms of the origin and closing in effect.
	chosenOrigin, chosenClosing string
}

// inEffect determines what counts: the highest revision of everything while the
// recording is open, and exactly the content of the closing document once it is
// closed.
func (s State) inEffect() inEffect {
	st := inEffect{facts: map[slot]fact{}}
	if len(s.closings) > 0 {
		st.closing, st.chosenClosing = chooseClosing(s.closings)
		st.origin, st.chosenOrigin = st.closing.Origin, canonical(st.closing.Origin)
		for _, f := range factsOf(*st.closing) {
			st.facts[f.slot()] = f
		}
		return st
	}
	if len(s.origins) > 0 {
		st.chosenOrigin = s.origins[0]
		mustRead(st.chosenOrigin, &st.origin)
	}
	for _, f := range s.facts { // ascending: the first of the highest revision counts
		if f.Rev > st.facts[f.slot()].Rev {
			st.facts[f.slot()] = f
		}
	}
	return st
}

// chooseClosing picks the fullest of several contradicting closing documents:
// the most trials, then the most revisions, then the first in byte order.
func chooseClosing(closings []string) (*Document, string) {
	docs := make([]*Document, len(closings))
	best := 0
	for i, text := range closings {
		docs[i] = mustDecode(text)
		if i > 0 && compareClosings(docs[i], docs[best]) > 0 {
			best = i
		}
	}
	return docs[best], closings[best]
}

func mustDecode(text string) *Document {
	root, err := parse([]byte(text))
	if err != nil {
		panic(fmt.Sprintf("recording: a checked document cannot be parsed: %v", err))
	}
	d, err := readDocument(root)
	if err != nil {
		panic(fmt.Sprintf("recording: a checked document cannot be read: %v", err))
	}
	return &d
}

func compareClosings(a, b *Document) int {
	return cmp.Or(a.Closing.Last-b.Closing.Last, revisions(a)-revisions(b))
}

func revisions(d *Document) int {
	n := 0
	for _, f := range factsOf(*d) {
		n += f.Rev
	}
	return n
}

// verdict is what happens to one fact.
type verdict int

const (
	counted  verdict = iota // it counts
	replaced                // a later revision replaces it
	beside                  // surplus
)

func (st inEffect) judge(f fact) (verdict, Why) {
	g := st.facts[f.slot()]
	switch {
	case f == g:
		return counted, ""
	case f.Rev < g.Rev:
		return replaced, ""
	case f.Rev == g.Rev:
		return beside, WhyDiffers
	case st.closing != nil && f.N > st.closing.Closing.Last:
		return beside, WhyBeyond
	}
	return beside, WhyLater
}

// Closed reports whether a closing document has arrived.
func (s State) Closed() bool { return len(s.closings) > 0 }

// Surplus lists what is stored but not part of the recording: trials first, by
// number and revision, then fields, then contradicting closings and origins.
func (s State) Surplus() []Surplus { return s.surplus(s.inEffect()) }

func (s State) surplus(st inEffect) []Surplus {
	var out []Surplus
	for _, f := range s.facts {
		if v, why := st.judge(f); v == beside {
			out = append(out, surplusOf(f, why))
		}
	}
	slices.SortStableFunc(out, func(a, b Surplus) int { return rank(a) - rank(b) })
	for _, text := range s.closings {
		if text != st.chosenClosing {
			out = append(out, Surplus{Ref: Ref("closing-" + hashText(text)), Why: WhyDiffers, Closing: mustDecode(text)})
		}
	}
	for _, text := range s.origins {
		if text != st.chosenOrigin {
			var g Origin
			mustRead(text, &g)
			out = append(out, Surplus{Ref: Ref("origin-" + hashText(text)), Why: WhyDiffers, Origin: &g})
		}
	}
	return out
}

func rank(s Surplus) int {
	if s.Trial != nil {
		return 0
	}
	return 1
}

func surplusOf(f fact, why Why) Surplus {
	out := Surplus{Ref: f.ref(), Why: why}
	if f.N > 0 {
		t := f.trial()
		out.Trial = &t
	} else {
		out.Field = &Field{f.Field, f.Rev, f.Value}
	}
	return out
}

func (f fact) ref() Ref {
	if f.N > 0 {
		return Ref(fmt.Sprintf("trial-%d-%d-%s", f.N, f.Rev, hashText(f.Value)))
	}
	return Ref(fmt.Sprintf("%s-%d-%s", strings.ReplaceAll(string(f.Field), "_", "."), f.Rev, hashText(f.Value)))
}

// Conflicts lists the surplus that contradicts what counts: the same revision
// with different content.
func (s State) Conflicts() []Surplus {
	return slices.DeleteFunc(s.Surplus(), func(x Surplus) bool { return x.Why != WhyDiffers })
}

// Header returns the header in effect, before amendments.
func (s State) Header() Header { return s.inEffect().header() }

func (st inEffect) header() Header {
	var h Header
	for _, spec := range fieldSpecs {
		if f, ok := st.facts[slot{Field: spec.name}]; ok {
			mustSet(&h, spec, f.Rev, f.Value)
		}
	}
	return h
}

func mustSet(h *Header, spec fieldSpec, rev int, value string) {
	var n *node
	if value != "" {
		parsed, err := parse([]byte(value))
		if err != nil {
			panic(fmt.Sprintf("recording: a checked value cannot be parsed: %v", err))
		}
		n = &parsed
	}
	if err := spec.set(h, rev, n); err != nil {
		panic(fmt.Sprintf("recording: a checked value cannot be set: %v", err))
	}
}

// Trials returns the trials in effect by number, including void ones, before
// amendments.
func (s State) Trials() []Trial { return s.inEffect().trials() }

func (st inEffect) trials() []Trial {
	out := []Trial{}
	for at, f := range st.facts {
		if at.N > 0 {
			out = append(out, f.trial())
		}
	}
	slices.SortFunc(out, func(a, b Trial) int { return a.N - b.N })
	return out
}

// Tally accounts for everything ever sent: Sent = Accepted + Surplus +
// Quarantined, exactly.
type Tally struct {
	Sent        int `json:"sent"`        // distinct revisions that arrived
	Accepted    int `json:"accepted"`    // those in effect or replaced by a later one
	Replaced    int `json:"replaced"`    // of the accepted, those replaced
	Surplus     int `json:"surplus"`     // not part of the recording
	Quarantined int `json:"quarantined"` // held back with the whole recording
}

// Account holds the tallies of the trials and of the header's fields.
type Account struct {
	Trials Tally `json:"trials"`
	Fields Tally `json:"fields"`
}

// Account counts the outcome of every revision. All revisions of a quarantined
// recording are quarantined: none is accepted yet.
func (s State) Account(quarantined bool) Account {
	var a Account
	st := s.inEffect()
	for _, f := range s.facts {
		tally := &a.Fields
		if f.N > 0 {
			tally = &a.Trials
		}
		v, _ := st.judge(f)
		tally.add(v, quarantined)
	}
	return a
}

func (t *Tally) add(v verdict, quarantined bool) {
	t.Sent++
	switch {
	case quarantined:
		t.Quarantined++
	case v == beside:
		t.Surplus++
	default:
		t.Accepted++
		if v == replaced {
			t.Replaced++
		}
	}
}
