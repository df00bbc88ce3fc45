package chart

import "math"

// Proportions of a wide graph. Its y axis is 246 long, and the x axis is long
// enough that a change of a given size looks equally steep for any number of
// sessions: x-length ÷ y-length ÷ positions is never less than this. About 22
// positions fit on a page; beyond that the graph grows and its frame scrolls.
const (
	fullY      = 246
	fullBand   = 22 // height of the band with the child's nos
	fullX      = 770
	minPerStep = 0.14
)

// dayLength is the minimum length of a day on the x axis of a graph by date.
const dayLength = 9

// FullGraph returns the graph of a progress page.
func FullGraph(data GraphData) Graph {
	n := len(data.Sessions)
	length := math.Max(fullX, math.Ceil(minPerStep*fullY*float64(n)))
	if len(data.Days) > 0 {
		length = math.Max(length, 35+dayLength*float64(data.Days[len(data.Days)-1]))
	}
	p := plot{data: data, left: 75.5, right: 75.5 + length - 35, top: 62, zero: 308, axis: 318, radius: 5.5, gap: 17.5}
	if n > 1 && n < 8 && data.Days == nil { // a few sessions are closer together than the page would allow
		p.right = p.left + float64(n-1)*90
	}
	p = p.banded(fullBand).placed()
	g := Graph{
		Width: 66 + length, Height: 366 + p.band,
		Axis:      Line{{57.5, 54}, {57.5, p.axis}, {64 + length, p.axis}},
		Criterion: p.criteria(4, 64+length),
		Phases:    p.phaseLines(10, p.axis),
		Cuts:      p.cuts(),
		Band:      p.bandLine(57.5, 64+length),
		Path:      p.path(),
		Marks:     p.marks(),
		Events:    p.events(p.axis + 38),
	}
	g.Brackets, g.BrackText = p.brackets()
	// Only where the last label goes depends on this comparison.
	for i := 0; float64(i)*data.Every <= data.Top*(1+1e-9); i++ {
		v := float64(i) * data.Every
		g.Ticks = append(g.Ticks, Line{{53, p.y(v)}, {58, p.y(v)}})
		g.YLabels = append(g.YLabels, Text{48, p.y(v) + 4.5, number(v)})
	}
	g.YLabels = append(g.YLabels, p.bandName(48)...)
	p.sessions(&g)
	p.names(&g, 64+length)
	return g
}

// sessions adds a tick under each session and a number under as many as are
// legible, or a tick and a date under each of the named days.
func (p plot) sessions(g *Graph) {
	if p.data.Days != nil {
		for _, d := range p.data.DayNames {
			x := p.dayX(float64(d.Day))
			g.Ticks = append(g.Ticks, Line{{x, p.axis}, {x, p.axis + 5}})
			g.XLabels = append(g.XLabels, Text{x, p.axis + 20, d.Name})
		}
		return
	}
	for i, s := range p.data.Sessions {
		if s.Empty {
			continue
		}
		g.Ticks = append(g.Ticks, Line{{p.x(i), p.axis}, {p.x(i), p.axis + 5}})
		if i%2 != 0 && len(p.data.Sessions) > 12 {
			continue
		}
		n := i + 1
		if p.data.Numbers != nil {
			n = p.data.Numbers[i]
		}
		g.XLabels = append(g.XLabels, Text{p.x(i), p.axis + 20, number(float64(n))})
	}
}

// letterWide is the approximate width of a letter in a phase's name.
const letterWide = 6.6

// names adds each phase's name and note over it. A name too wide for its phase
// is cut and a note too wide is dropped; the list under the drawing has both in
// full.
func (p plot) names(g *Graph, end float64) {
	for i, phase := range p.data.Phases {
		from, to := p.between(phase.From), end
		if i+1 < len(p.data.Phases) {
			to = p.between(p.data.Phases[i+1].From)
		}
		g.Names = append(g.Names, Text{(from + to) / 2, 22, fitting(phase.Label, to-from)})
		if note := fitting(phase.Note, to-from); note != "" && note == phase.Note {
			g.Notes = append(g.Notes, Text{(from + to) / 2, 38, note})
		}
	}
}

func fitting(text string, width float64) string {
	letters := []rune(text)
	if room := int(width / letterWide); len(letters) > room {
		if room < 2 {
			return ""
		}
		return string(letters[:room-1]) + "…"
	}
	return text
}
