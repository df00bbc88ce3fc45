package recording

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Why says why something is kept beside the recording instead of in it.
type Why string

// The reasons. Both versions of a contradiction are kept; the one that stands
// is chosen by a rule that does not depend on which came first.
const (
	// WhyBeyond: a trial after the last one of the closing document.
	WhyBeyond Why = "beyond"
	// WhyLater: a revision that the closing document did not have.
	WhyLater Why = "later"
	// WhyDiffers: the same revision with other content.
	WhyDiffers Why = "differs"
)

// Ref names one thing kept beside a recording. It stays valid for ever.
type Ref string

// Surplus is one thing kept beside a recording: never counted, never lost,
// waiting for a person to join it or set it aside. Exactly one of Trial,
// Field, Closing and Origin says what it is.
type Surplus struct {
	Ref     Ref
	Why     Why
	Trial   *Trial
	Field   *Field
	Closing *Document
	Origin  *Origin
}

// Field is one revision of a header field, its value as JSON; an empty value
// was taken back.
type Field struct {
	Name  FieldName
	Rev   int
	Value string
}

// standing is what counts, before any amendment.
type standing struct {
	origin  Origin
	facts   map[slot]fact
	closing *Document
	// chosen are the canonical forms of origin and closing.
	chosenOrigin, chosenClosing string
}

// stand decides what counts. While the recording is open, that is the highest
// revision of everything; once closed, exactly what the closing document has.
func (s State) stand() standing {
	st := standing{facts: map[slot]fact{}}
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
	for _, f := range s.facts { // ascending: the first of the highest revision stands
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

// verdict is what becomes of one fact.
type verdict int

const (
	counted  verdict = iota // it stands
	replaced                // a later revision stands in its place
	beside                  // surplus
)

func (st standing) judge(f fact) (verdict, Why) {
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

// Surplus lists what is kept beside the recording: trials first, by number
// and revision, then fields, then closings and origins that contradict.
func (s State) Surplus() []Surplus { return s.surplus(s.stand()) }

func (s State) surplus(st standing) []Surplus {
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

// Conflicts lists the surplus that contradicts what stands: the same revision
// with other content.
func (s State) Conflicts() []Surplus {
	return slices.DeleteFunc(s.Surplus(), func(x Surplus) bool { return x.Why != WhyDiffers })
}

// Header is the header that stands, before amendments.
func (s State) Header() Header { return s.stand().header() }

func (st standing) header() Header {
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

// Trials are the trials that stand, void ones among them, by number, before
// amendments.
func (s State) Trials() []Trial { return s.stand().trials() }

func (st standing) trials() []Trial {
	out := []Trial{}
	for at, f := range st.facts {
		if at.N > 0 {
			out = append(out, f.trial())
		}
	}
	slices.SortFunc(out, func(a, b Trial) int { return a.N - b.N })
	return out
}

// Tally says where everything went that was ever sent: Sent = Accepted +
// Surplus + Quarantined, exactly.
type Tally struct {
	Sent        int `json:"sent"`        // different revisions that arrived
	Accepted    int `json:"accepted"`    // those that stand or were replaced by a later one
	Replaced    int `json:"replaced"`    // of the accepted, those replaced
	Surplus     int `json:"surplus"`     // kept beside
	Quarantined int `json:"quarantined"` // held back with the whole recording
}

// Account is the tally of the trials and of the header's fields.
type Account struct {
	Trials Tally `json:"trials"`
	Fields Tally `json:"fields"`
}

// Account counts what became of every revision. A recording in quarantine has
// all of its revisions there: nothing of it is accepted yet.
func (s State) Account(quarantined bool) Account {
	var a Account
	st := s.stand()
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
