package chart

import (
	"cmp"
	"slices"
	"strings"
)

// A MapNode is one item in a map of dependencies.
type MapNode struct {
	Layer int
	Text  string
	Bold  bool
	From  []int // indices of the nodes that lead to it; all in earlier layers
}

// A MapBox is a drawn node, with its text in lines.
type MapBox struct {
	Rect
	Node  int
	Lines []Text
}

// A MapWay is the path from one box to another; its last point is the tip of
// the arrow.
type MapWay struct {
	From, To int
	Points   []Point
	Tip      Line // the arrow's head
}

// A Map is a map ready to draw.
type Map struct {
	Width, Height float64
	Boxes         []MapBox // in reading order: layer by layer, or chain by chain
	Ways          []MapWay
}

// Measures of a map. The font size is 13 units; a letter takes 6.7 units on
// average, a bold one 7.4 (measured in common typefaces), so that lines rarely
// exceed their box.
const (
	mapLine     = 17.0 // between lines of text
	mapPad      = 10.0
	mapLetter   = 6.7
	mapBold     = 7.4
	mapMaxLines = 3
	mapBoxW     = 140.0
	mapColumn   = 173.0 // between columns
	mapGap      = 10.0  // between boxes in a column
	mapChain    = 22.0  // between unconnected chains
	mapLane     = 8.0   // between parallel lines
	mapTip      = 6.0
)

// SkillMapWide draws the layers as columns, from the reading start.
func SkillMapWide(nodes []MapNode) Map {
	b := board{nodes: nodes}
	b.chains()
	m := Map{}
	top := 0.0
	for _, chain := range b.chain {
		c := b.columns(chain)
		c.arrange()
		height := c.place(top)
		m.Boxes, m.Ways = append(m.Boxes, c.boxes()...), append(m.Ways, c.ways()...)
		top = height + mapChain
	}
	for _, box := range m.Boxes {
		m.Width, m.Height = max(m.Width, box.X+box.W), max(m.Height, box.Y+box.H)
	}
	slices.SortStableFunc(m.Boxes, func(x, y MapBox) int { return cmp.Or(cmp.Compare(x.X, y.X), cmp.Compare(x.Y, y.Y)) })
	m.Width, m.Height = m.Width+1, m.Height+1
	return m
}

// SkillMapNarrow stacks the boxes, chain by chain, with the paths in the margin
// at the reading start.
func SkillMapNarrow(nodes []MapNode, width float64) Map {
	b := board{nodes: nodes}
	b.chains()
	lanes := make([][]lane, len(b.chain))
	most := 0
	for i, chain := range b.chain {
		lanes[i] = b.lanes(chain)
		for _, l := range lanes[i] {
			most = max(most, l.at+1)
		}
	}
	margin := mapTip + mapPad + float64(most)*mapLane
	m, top := Map{Width: width}, 1.0
	for i, chain := range b.chain {
		boxes := map[int]MapBox{}
		for _, n := range chain {
			box := b.box(n, margin, top, width-margin-1)
			boxes[n] = box
			m.Boxes = append(m.Boxes, box)
			top += box.H + mapGap
		}
		for _, l := range lanes[i] {
			x := margin - mapTip - mapPad - float64(l.at)*mapLane
			for _, to := range l.to {
				from, at := boxes[l.from], boxes[to]
				tip := Point{at.X, at.Y + at.H/2}
				m.Ways = append(m.Ways, MapWay{
					From: l.from, To: to, Tip: tipOf(tip),
					Points: []Point{{from.X, from.Y + from.H/2}, {x, from.Y + from.H/2}, {x, tip.Y}, {tip.X - mapTip, tip.Y}},
				})
			}
		}
		top += mapChain - mapGap
	}
	m.Height = max(top-mapChain+1, 1)
	return m
}

// tipOf returns the head of an arrow that points toward the reading end.
func tipOf(p Point) Line {
	return Line{{p.X - mapTip, p.Y - mapTip/2}, p, {p.X - mapTip, p.Y + mapTip/2}}
}

// board is the state shared by both layouts.
type board struct {
	nodes []MapNode
	chain [][]int // connected nodes, in order of their layers
}

// chains splits the nodes into connected components, longest first.
func (b *board) chains() {
	of := make([]int, len(b.nodes))
	for i := range of {
		of[i] = i
	}
	var root func(int) int
	root = func(i int) int {
		if of[i] != i {
			of[i] = root(of[i])
		}
		return of[i]
	}
	for i, n := range b.nodes {
		for _, f := range n.From {
			of[root(f)] = root(i)
		}
	}
	at := map[int]int{}
	for i := range b.nodes {
		r := root(i)
		if _, known := at[r]; !known {
			at[r] = len(b.chain)
			b.chain = append(b.chain, nil)
		}
		b.chain[at[r]] = append(b.chain[at[r]], i)
	}
	for _, chain := range b.chain {
		slices.SortStableFunc(chain, func(x, y int) int { return cmp.Compare(b.nodes[x].Layer, b.nodes[y].Layer) })
	}
	slices.SortStableFunc(b.chain, func(x, y []int) int { return cmp.Compare(len(y), len(x)) })
}

// lane is a line in the margin from one node to the nodes it leads to.
type lane struct {
	from int
	to   []int
	at   int // distance from the boxes, in lanes
}

// lanes assigns lines that do not overlap, with the shortest next to the boxes.
func (b *board) lanes(chain []int) []lane {
	row := map[int]int{}
	for i, n := range chain {
		row[n] = i
	}
	var out []lane
	for _, n := range chain {
		l := lane{from: n}
		for _, to := range chain {
			if slices.Contains(b.nodes[to].From, n) && row[to] > row[n] {
				l.to = append(l.to, to)
			}
		}
		if len(l.to) > 0 {
			out = append(out, l)
		}
	}
	end := func(l lane) int { return row[l.to[len(l.to)-1]] }
	byLength := make([]int, len(out))
	for i := range byLength {
		byLength[i] = i
	}
	slices.SortStableFunc(byLength, func(x, y int) int {
		return cmp.Compare(end(out[x])-row[out[x].from], end(out[y])-row[out[y].from])
	})
	var taken [][]lane
	for _, i := range byLength {
		l := &out[i]
		free := func(at int) bool {
			return at == len(taken) || !slices.ContainsFunc(taken[at], func(o lane) bool { return row[l.from] <= end(o) && row[o.from] <= end(*l) })
		}
		for !free(l.at) {
			l.at++
		}
		if l.at == len(taken) {
			taken = append(taken, nil)
		}
		taken[l.at] = append(taken[l.at], *l)
	}
	return out
}

// box lays a node's text out in a box of the given width.
func (b *board) box(n int, x, y, w float64) MapBox {
	node := b.nodes[n]
	letter := mapLetter
	if node.Bold {
		letter = mapBold
	}
	lines := wrapped(node.Text, int((w-2*mapPad)/letter))
	box := MapBox{Rect: Rect{x, y, w, mapLine*float64(len(lines)) + mapPad + 3}, Node: n}
	for i, line := range lines {
		box.Lines = append(box.Lines, Text{X: x + mapPad, Y: y + mapPad/2 + 14 + mapLine*float64(i), S: line})
	}
	return box
}

// wrapped breaks a text into at most mapMaxLines lines of the given number of
// letters, ending in "…" if it does not fit.
func wrapped(text string, letters int) []string {
	letters = max(letters, 4)
	var lines []string
	for _, word := range strings.Fields(text) {
		for runes := []rune(word); len(runes) > letters; runes = []rune(word) {
			lines = append(lines, string(runes[:letters-1])+"-")
			word = string(runes[letters-1:])
		}
		last := len(lines) - 1
		if last >= 0 && !strings.HasSuffix(lines[last], "-") && len([]rune(lines[last]))+1+len([]rune(word)) <= letters {
			lines[last] += " " + word
		} else {
			lines = append(lines, word)
		}
	}
	if len(lines) > mapMaxLines {
		last := []rune(lines[mapMaxLines-1])
		lines = append(lines[:mapMaxLines-1], string(last[:min(len(last), letters-1)])+"…")
	}
	if len(lines) == 0 {
		lines = []string{"–"}
	}
	return lines
}
