package chart

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestTextIsWrapped(t *testing.T) {
	t.Parallel()
	for text, want := range map[string][]string{
		"waits a minute": {"waits a", "minute"}, "": {"–"}, "antidisestablish": {"antidises-", "tablish"},
		"one two three four five six seven": {"one two", "three four", "five six…"}, "a": {"a"},
	} {
		if diff := cmp.Diff(want, wrapped(text, 10)); diff != "" {
			t.Errorf("%q: %s", text, diff)
		}
	}
}

// drawnNodes generates up to 20 nodes in up to 6 layers.
func drawnNodes(t *rapid.T) []MapNode {
	nodes := make([]MapNode, rapid.IntRange(0, 20).Draw(t, "nodes"))
	for i := range nodes {
		n := &nodes[i]
		n.Text = strings.Repeat("word ", rapid.IntRange(1, 12).Draw(t, "words"))
		n.Bold = rapid.Bool().Draw(t, "bold")
		if i == 0 {
			continue
		}
		for range rapid.IntRange(0, 3).Draw(t, "ways") {
			f := rapid.IntRange(0, i-1).Draw(t, "from")
			if nodes[f].Layer < 5 && !contains(n.From, f) {
				n.From = append(n.From, f)
				n.Layer = max(n.Layer, nodes[f].Layer+1)
			}
		}
	}
	return nodes
}

func contains(list []int, n int) bool {
	for _, m := range list {
		if m == n {
			return true
		}
	}
	return false
}

// TestMapProperties: every node has one box within the drawing, no two boxes
// overlap, every path is drawn, ends at its box and runs through no other box,
// and drawing is deterministic.
func TestMapProperties(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		nodes := drawnNodes(t)
		for name, draw := range map[string]func() Map{
			"wide": func() Map { return SkillMapWide(nodes) }, "narrow": func() Map { return SkillMapNarrow(nodes, 288) },
		} {
			m := draw()
			if !cmp.Equal(m, draw()) {
				t.Fatalf("%s: drawing it twice differs", name)
			}
			at := map[int]MapBox{}
			for i, b := range m.Boxes {
				at[b.Node] = b
				if b.X < 0 || b.Y < 0 || b.X+b.W > m.Width || b.Y+b.H > m.Height || b.W < 60 || len(b.Lines) == 0 {
					t.Fatalf("%s: %+v in %v × %v", name, b, m.Width, m.Height)
				}
				for _, o := range m.Boxes[:i] {
					if overlap(b.Rect, o.Rect) {
						t.Fatalf("%s: %+v overlaps %+v", name, b, o)
					}
				}
			}
			ways := 0
			for _, n := range nodes {
				ways += len(n.From)
			}
			if len(at) != len(nodes) || len(m.Ways) != ways {
				t.Fatalf("%s: %d boxes of %d, %d ways of %d", name, len(at), len(nodes), len(m.Ways), ways)
			}
			for _, w := range m.Ways {
				to := at[w.To]
				if !contains(nodes[w.To].From, w.From) || w.Tip[1] != (Point{to.X, to.Y + to.H/2}) {
					t.Fatalf("%s: %+v does not end at %+v", name, w, to)
				}
				for i := 1; i < len(w.Points); i++ {
					for _, b := range m.Boxes {
						if through(w.Points[i-1], w.Points[i], b.Rect) {
							t.Fatalf("%s: %+v runs through %+v", name, w, b)
						}
					}
				}
			}
		}
	})
}

func overlap(a, b Rect) bool {
	return a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H && b.Y < a.Y+a.H
}

// through reports whether a straight piece runs through the interior of a box.
// (A curve between columns stays between them, as its chord does.)
func through(p, q Point, r Rect) bool {
	for i := 1; i < 40; i++ {
		f := float64(i) / 40
		x, y := p.X+(q.X-p.X)*f, p.Y+(q.Y-p.Y)*f
		if x > r.X+0.5 && x < r.X+r.W-0.5 && y > r.Y+0.5 && y < r.Y+r.H-0.5 {
			return true
		}
	}
	return false
}
