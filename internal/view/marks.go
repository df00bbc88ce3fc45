package view

import (
	"strconv"
	"strings"
)

// Mark is the meaning of a tread mark: the outcome of one trial.
type Mark int

// Marks of a trial.
const (
	MarkAlone      Mark = iota
	MarkHelp1           // the least help
	MarkHelp2           //
	MarkHelp3           //
	MarkHelp4           // the most
	MarkNotYet          // tried, not yet correct
	MarkNoResponse      // no response
	MarkSaidNo          // the child's no
	MarkNoChance        // no opportunity
	MarkAdultPart       // the adult did it: never counted, never zero
)

// AllMarks lists the marks in the order of the sheet.
var AllMarks = []Mark{MarkAlone, MarkHelp1, MarkHelp2, MarkHelp3, MarkHelp4, MarkNotYet, MarkNoResponse, MarkSaidNo, MarkNoChance, MarkAdultPart}

// HelpMark returns the mark for a help level, from 0 (no help) to 4; higher
// levels count as 4.
func HelpMark(level int) Mark {
	return MarkAlone + Mark(max(0, min(4, level)))
}

var markNames = map[Mark]string{
	MarkAlone: "without help", MarkHelp1: "help, level 1", MarkHelp2: "help, level 2", MarkHelp3: "help, level 3", MarkHelp4: "help, level 4",
	MarkNotYet: "not yet", MarkNoResponse: "no answer", MarkSaidNo: "said no", MarkNoChance: "no turn", MarkAdultPart: "done by the adult",
}

// Name returns the mark's English name. Pages in other languages use their own.
func (m Mark) Name() string { return markNames[m] }

// box is a rectangle of a mark on its own grid.
type box struct{ x, y, w, h float64 }

// markGrid describes how marks are drawn at one size. Each size has its own
// numbers; none is scaled from another.
type markGrid struct {
	tread    box
	posts    [4]box
	inside   box // cut out of the tread for "not yet"
	response [2]box
	no       [2]box
	chance   [3]box
	ground   box
}

var markGrids = map[int]markGrid{
	12: {
		tread:    box{1, 7, 10, 4},
		posts:    [4]box{{1, 1, 1, 7}, {4, 1, 1, 7}, {7, 1, 1, 7}, {10, 1, 1, 7}},
		inside:   box{2, 8, 8, 2},
		response: [2]box{{1, 7, 3, 4}, {8, 7, 3, 4}},
		no:       [2]box{{3, 1, 2, 10}, {7, 1, 2, 10}},
		chance:   [3]box{{1, 8, 2, 2}, {5, 8, 2, 2}, {9, 8, 2, 2}},
		ground:   box{1, 10, 10, 1},
	},
	20: {
		tread:    box{1, 12, 18, 6},
		posts:    [4]box{{1, 2, 2, 11}, {6, 2, 2, 11}, {12, 2, 2, 11}, {17, 2, 2, 11}},
		inside:   box{2.5, 13.5, 15, 3},
		response: [2]box{{1, 12, 6, 6}, {13, 12, 6, 6}},
		no:       [2]box{{5, 2, 3, 16}, {12, 2, 3, 16}},
		chance:   [3]box{{1, 13.5, 3, 3}, {8.5, 13.5, 3, 3}, {16, 13.5, 3, 3}},
		ground:   box{1, 16.5, 18, 1.5},
	},
	32: {
		tread:    box{2, 20, 28, 9},
		posts:    [4]box{{2, 4, 4, 17}, {10, 4, 4, 17}, {18, 4, 4, 17}, {26, 4, 4, 17}},
		inside:   box{4, 22, 24, 5},
		response: [2]box{{2, 20, 9, 9}, {21, 20, 9, 9}},
		no:       [2]box{{8, 4, 5, 25}, {19, 4, 5, 25}},
		chance:   [3]box{{2, 22, 5, 5}, {13.5, 22, 5, 5}, {25, 22, 5, 5}},
		ground:   box{2, 27, 28, 2},
	},
}

// markSize returns the largest drawn size that is at most the requested one.
func markSize(asked int) int {
	switch {
	case asked >= 32:
		return 32
	case asked >= 20:
		return 20
	default:
		return 12
	}
}

// markPath returns a mark as one path, to be filled by the even-odd rule.
func markPath(m Mark, size int) string {
	g := markGrids[markSize(size)]
	var boxes []box
	switch m {
	case MarkNotYet:
		boxes = []box{g.tread, g.inside}
	case MarkNoResponse:
		boxes = g.response[:]
	case MarkSaidNo:
		boxes = g.no[:]
	case MarkNoChance:
		boxes = g.chance[:]
	case MarkAdultPart:
		boxes = []box{g.ground}
	default:
		boxes = withPosts(g, int(m-MarkAlone))
	}
	var b strings.Builder
	for _, r := range boxes {
		b.WriteString("M" + num(r.x) + " " + num(r.y) + "h" + num(r.w) + "v" + num(r.h) + "h" + num(-r.w) + "z")
	}
	return b.String()
}

// withPosts returns the tread with its posts. A post ends where the tread
// begins, because overlapping shapes would cancel each other out under the
// even-odd rule.
func withPosts(g markGrid, level int) []box {
	boxes := []box{g.tread}
	for _, post := range g.posts[:level] {
		post.h = g.tread.y - post.y
		boxes = append(boxes, post)
	}
	return boxes
}

// num formats a coordinate with at most two decimals.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// Glyph is the drawing of a decision: what it does to the tread.
type Glyph int

// Glyphs of decisions.
const (
	GlyphAdvance Glyph = iota
	GlyphStepBack
	GlyphHold
	GlyphBranch
	GlyphRevise
	GlyphPause
	GlyphFinish
	GlyphSeen
)

// AllGlyphs lists the glyphs in the order of the sheet.
var AllGlyphs = []Glyph{GlyphAdvance, GlyphStepBack, GlyphHold, GlyphBranch, GlyphRevise, GlyphPause, GlyphFinish, GlyphSeen}

var glyphPaths = map[Glyph]string{
	GlyphAdvance:  "M1 12H10V5H21",
	GlyphStepBack: "M1 5H12V12H21",
	GlyphHold:     "M1 9H21",
	GlyphBranch:   "M1 12H7V9H14V6H21",
	GlyphRevise:   "M1 12H21M1 7H21",
	GlyphPause:    "M1 12H8M14 12H21",
	GlyphFinish:   "M1 12H10V5H21M18 5V0",
	GlyphSeen:     "M2 6H20V12H2Z",
}

var glyphNames = map[Glyph]string{
	GlyphAdvance: "advance", GlyphStepBack: "step back", GlyphHold: "hold", GlyphBranch: "branch",
	GlyphRevise: "revise", GlyphPause: "pause", GlyphFinish: "finish", GlyphSeen: "seen, no change",
}

// Name returns the decision's English name.
func (g Glyph) Name() string { return glyphNames[g] }

func nameOf(m Mark, names func(Mark) string) string {
	if names == nil {
		return m.Name()
	}
	return names(m)
}
