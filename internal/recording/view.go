package recording

import (
	"bytes"
	"cmp"
	"slices"

	"newel/internal/newel"
)

// View is a recording as it counts: what stands, with the amendments applied.
type View struct {
	ID     newel.RecordingID
	Origin Origin
	Header Header
	// Trials by number, void ones among them.
	Trials []Trial
	// Closing is nil while the recording is open. Its Last is what the phone
	// said; joined trials may lie beyond it.
	Closing *Closing
	Closed  bool
	// Void: the whole session is left out.
	Void bool
	// Surplus still waits for a person.
	Surplus []Surplus
	// Settled was surplus and has been joined or set aside.
	Settled []Surplus
	// Unapplied are amendments that found nothing to change: what they rest on
	// was undone, or a contradicting closing arrived after they were made.
	Unapplied []newel.AmendmentID
}

// Apply gives the view of a state under amendments, in whatever order they
// are listed: they count in the order of their moments, equal ones by id.
// An amendment that has been undone leaves no trace in the view.
func Apply(s State, amendments []Amendment) View {
	st := s.stand()
	v := View{
		ID: s.id, Origin: st.origin, Header: st.header(), Trials: st.trials(),
		Closed: st.closing != nil, Surplus: s.surplus(st),
	}
	if st.closing != nil {
		v.Closing = st.closing.Closing
	}
	ordered := slices.Clone(amendments)
	slices.SortFunc(ordered, compareAmendments)
	ordered = slices.CompactFunc(ordered, func(a, b Amendment) bool { return a.ID == b.ID })
	for _, a := range active(ordered) {
		if !v.apply(s, a.Change) {
			v.Unapplied = append(v.Unapplied, a.ID)
		}
	}
	return v
}

func compareAmendments(a, b Amendment) int {
	return cmp.Or(a.At.Compare(b.At), bytes.Compare(a.ID.UUID[:], b.ID.UUID[:]))
}

// active leaves out what has been undone, and the undoing itself. Whether an
// undo counts is decided from the last backwards: an undo can be undone.
func active(ordered []Amendment) []Amendment {
	undone := map[newel.AmendmentID]bool{}
	out := []Amendment{}
	for _, a := range slices.Backward(ordered) {
		switch {
		case undone[a.ID]:
		case a.Change.Kind == ChangeUndo:
			undone[a.Change.Undo] = true
		default:
			out = append(out, a)
		}
	}
	slices.Reverse(out)
	return out
}

// apply makes one change and reports whether there was something to change.
func (v *View) apply(s State, c Change) bool {
	switch c.Kind {
	case ChangeAnswer, ChangeVoid:
		t := v.trial(c.N)
		if t == nil {
			return false
		}
		t.Answer, t.Void = c.Answer, c.Kind == ChangeVoid
		return true
	case ChangeField:
		spec, ok := specNamed(c.Field)
		if ok {
			rev, _ := spec.get(v.Header)
			mustSet(&v.Header, spec, max(rev, 1), c.Value)
		}
		return ok
	case ChangeJoin:
		return v.join(s, c.Ref)
	case ChangeSetAside:
		return v.settle(c.Ref)
	case ChangeSession:
		v.Void = true
		return true
	}
	return false
}

// join puts a fact in its place, whatever stands there. It looks among all
// facts: one that was surplus once may stand by itself today.
func (v *View) join(s State, ref Ref) bool {
	i := slices.IndexFunc(s.facts, func(f fact) bool { return f.ref() == ref })
	if i < 0 {
		return false
	}
	v.settle(ref)
	f := s.facts[i]
	if f.N == 0 {
		spec, _ := specNamed(f.Field)
		mustSet(&v.Header, spec, f.Rev, f.Value)
		return true
	}
	at, found := slices.BinarySearchFunc(v.Trials, f.N, func(t Trial, n int) int { return t.N - n })
	if found {
		v.Trials[at] = f.trial()
	} else {
		v.Trials = slices.Insert(v.Trials, at, f.trial())
	}
	return true
}

// settle moves something from Surplus to Settled.
func (v *View) settle(ref Ref) bool {
	i := slices.IndexFunc(v.Surplus, func(x Surplus) bool { return x.Ref == ref })
	if i < 0 {
		return slices.ContainsFunc(v.Settled, func(x Surplus) bool { return x.Ref == ref })
	}
	v.Settled = append(v.Settled, v.Surplus[i])
	v.Surplus = slices.Delete(v.Surplus, i, i+1)
	return true
}

func (v *View) trial(n int) *Trial {
	for i := range v.Trials {
		if v.Trials[i].N == n {
			return &v.Trials[i]
		}
	}
	return nil
}

// find looks among what waits and what is settled: a person may change her
// mind without undoing.
func (v *View) find(ref Ref) (Surplus, bool) {
	for _, x := range slices.Concat(v.Surplus, v.Settled) {
		if x.Ref == ref {
			return x, true
		}
	}
	return Surplus{}, false
}
