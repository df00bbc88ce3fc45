package recording

import (
	"bytes"
	"cmp"
	"slices"

	"newel/internal/newel"
)

// View is a recording as it counts: what is in effect, with the amendments
// applied.
type View struct {
	ID     newel.RecordingID
	Origin Origin
	Header Header
	// Trials by number, including void ones.
	Trials []Trial
	// Closing is nil while the recording is open. Its Last is what the phone
	// reported; joined trials may come after it.
	Closing *Closing
	Closed  bool
	// Void: the whole session is excluded.
	Void bool
	// Surplus that still waits for a person's decision.
	Surplus []Surplus
	// Settled is surplus that was joined or set aside.
	Settled []Surplus
	// Unapplied lists amendments that had nothing to change: the change they
	// depend on was undone, or a contradicting closing arrived after they were
	// made.
	Unapplied []newel.AmendmentID
}

// Apply returns the view of a state with amendments applied in order of time,
// then id, however they are listed. An undone amendment leaves no trace in the
// view.
func Apply(s State, amendments []Amendment) View {
	st := s.inEffect()
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

// active drops undone amendments and the undos themselves. It decides from the
// last backward whether an undo counts, because an undo can itself be undone.
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

// join puts a fact in its place, replacing what is there. It searches all
// facts, because one that used to be surplus may be in effect by now.
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

// settle moves an item from Surplus to Settled.
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

// find searches both unsettled and settled surplus, because a person may change
// their mind without an undo.
func (v *View) find(ref Ref) (Surplus, bool) {
	for _, x := range slices.Concat(v.Surplus, v.Settled) {
		if x.Ref == ref {
			return x, true
		}
	}
	return Surplus{}, false
}
