package chart

import "math"

// The proportions of a wide graph: its y axis is 246 long, and the x axis is so long that a change of a given size
// looks as steep however many sessions there are: x-length ÷ y-length ÷ places is never less than this. About 22
// places fit on a page; beyond that the graph grows and its frame scrolls.
const (
	fullY        = 246
	fullX        = 770
	leastPerStep = 0.14
)

// FullGraph draws the graph of a progress page.
func FullGraph(data GraphData) Graph {
	n := len(data.Sessions)
	length := math.Max(fullX, math.Ceil(leastPerStep*fullY*float64(n)))
	p := plot{data: data, left: 75.5, right: 75.5 + length - 35, top: 62, zero: 308, axis: 318, radius: 5.5, gap: 17.5}
	if n > 1 && n < 8 { // few sessions stand closer together than the page would allow
		p.right = p.left + float64(n-1)*90
	}
	g := Graph{
		Width: 66 + length, Height: 366,
		Axis:      Line{{57.5, 54}, {57.5, p.axis}, {64 + length, p.axis}},
		Criterion: p.criteria(4, 64+length),
		Phases:    p.phaseLines(10, p.axis),
		Cuts:      p.cuts(),
		Path:      p.path(),
		Marks:     p.marks(),
	}
	for i := 0; float64(i)*data.Every <= data.Top+1e-9; i++ {
		v := float64(i) * data.Every
		g.Ticks = append(g.Ticks, Line{{53, p.y(v)}, {58, p.y(v)}})
		g.YLabels = append(g.YLabels, Text{48, p.y(v) + 4.5, number(v)})
	}
	p.sessions(&g)
	p.names(&g, 64+length)
	return g
}

// sessions puts a tick under each session and a number under every other one.
func (p plot) sessions(g *Graph) {
	for i := range p.data.Sessions {
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

func (p plot) names(g *Graph, end float64) {
	for i, phase := range p.data.Phases {
		from, to := p.between(phase.From), end
		if i+1 < len(p.data.Phases) {
			to = p.between(p.data.Phases[i+1].From)
		}
		g.Names = append(g.Names, Text{(from + to) / 2, 22, phase.Label})
		if phase.Note != "" {
			g.Notes = append(g.Notes, Text{(from + to) / 2, 38, phase.Note})
		}
	}
}
