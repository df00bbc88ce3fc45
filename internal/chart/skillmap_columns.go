package chart

import (
	"cmp"
	"math"
	"slices"
)

// columns lays one chain out in columns. A path that crosses a column occupies
// a spot in it, as boxes do, so that it runs between them.
type columns struct {
	b      *board
	column [][]*spot
	at     map[int]*spot // of the nodes
	routes []route
}

// spot is a position in a column: of a box, or of a path that crosses it.
type spot struct {
	node   int // -1 for a path
	layer  int
	y, h   float64
	before []*spot
	after  []*spot
}

type route struct {
	from, to int
	over     []*spot
}

func (s *spot) centre() float64 { return s.y + s.h/2 }

func (b *board) columns(chain []int) *columns {
	c := &columns{b: b, at: map[int]*spot{}}
	add := func(s *spot) *spot {
		for len(c.column) <= s.layer {
			c.column = append(c.column, nil)
		}
		c.column[s.layer] = append(c.column[s.layer], s)
		return s
	}
	for _, n := range chain {
		c.at[n] = add(&spot{node: n, layer: b.nodes[n].Layer, h: b.box(n, 0, 0, mapBoxW).H})
	}
	join := func(x, y *spot) { x.after, y.before = append(x.after, y), append(y.before, x) }
	for _, n := range chain {
		for _, f := range b.nodes[n].From {
			r := route{from: f, to: n}
			last := c.at[f]
			for layer := last.layer + 1; layer < c.at[n].layer; layer++ {
				s := add(&spot{node: -1, layer: layer, h: mapLane})
				join(last, s)
				r.over = append(r.over, s)
				last = s
			}
			join(last, c.at[n])
			c.routes = append(c.routes, r)
		}
	}
	return c
}

// sweeps is how often the columns are reordered; more changes little on maps of
// realistic size.
const sweeps = 6

// arrange orders each column by the mean position of the spots that its spots
// connect to (the barycenter heuristic of layered drawings: Sugiyama, Tagawa
// and Toda 1981; from memory), back and forth.
func (c *columns) arrange() {
	for sweep := range sweeps {
		place := map[*spot]float64{}
		for _, column := range c.column {
			for i, s := range column {
				place[s] = float64(i) / float64(max(len(column)-1, 1))
			}
		}
		for _, column := range c.column {
			mean := map[*spot]float64{}
			for _, s := range column {
				joined := s.before
				if sweep%2 == 1 {
					joined = s.after
				}
				mean[s] = place[s]
				for i, o := range joined {
					if i == 0 {
						mean[s] = 0
					}
					mean[s] += place[o] / float64(len(joined))
				}
			}
			slices.SortStableFunc(column, func(x, y *spot) int { return cmp.Compare(mean[x], mean[y]) })
			for i, s := range column {
				place[s] = float64(i) / float64(max(len(column)-1, 1))
			}
		}
	}
}

// place positions each spot in its column near the spots it connects to, and
// returns how far down the column extends.
func (c *columns) place(top float64) float64 {
	for _, column := range c.column {
		stack(column, func(*spot) float64 { return 0 })
	}
	for range sweeps {
		for _, column := range c.column {
			stack(column, beside)
		}
		for _, column := range slices.Backward(c.column) {
			stack(column, beside)
		}
	}
	highest, lowest := math.Inf(1), math.Inf(-1)
	for _, column := range c.column {
		for _, s := range column {
			highest, lowest = min(highest, s.y), max(lowest, s.y+s.h)
		}
	}
	for _, column := range c.column {
		for _, s := range column {
			s.y += top + 1 - highest
		}
	}
	return lowest + top + 1 - highest
}

// beside returns the position of a spot level with those it connects to.
func beside(s *spot) float64 {
	joined := append(slices.Clone(s.before), s.after...)
	if len(joined) == 0 {
		return s.y
	}
	sum := 0.0
	for _, o := range joined {
		sum += o.centre()
	}
	return sum/float64(len(joined)) - s.h/2
}

// stack positions the spots of a column one below another, minimizing the sum
// of squared distances from where they want to be (isotonic regression by
// pooling neighbors; from memory).
func stack(column []*spot, wants func(*spot) float64) {
	type pool struct {
		sum   float64
		count int
	}
	mean := func(p pool) float64 { return p.sum / float64(p.count) }
	var pools []pool
	above := make([]float64, len(column)) // the minimum height above each
	for i, s := range column {
		if i > 0 {
			above[i] = above[i-1] + column[i-1].h + mapGap
		}
		p := pool{wants(s) - above[i], 1}
		for n := len(pools); n > 0 && mean(pools[n-1]) > mean(p); n = len(pools) {
			p = pool{pools[n-1].sum + p.sum, pools[n-1].count + p.count}
			pools = pools[:n-1]
		}
		pools = append(pools, p)
	}
	i := 0
	for _, p := range pools {
		for range p.count {
			column[i].y = mean(p) + above[i]
			i++
		}
	}
}

func (c *columns) boxes() []MapBox {
	var out []MapBox
	for _, column := range c.column {
		for _, s := range column {
			if s.node >= 0 {
				out = append(out, c.b.box(s.node, columnX(s.layer), s.y, mapBoxW))
			}
		}
	}
	return out
}

func columnX(layer int) float64 { return 1 + float64(layer)*mapColumn }

func (c *columns) ways() []MapWay {
	var out []MapWay
	for _, r := range c.routes {
		from, to := c.at[r.from], c.at[r.to]
		points := []Point{{columnX(from.layer) + mapBoxW, from.centre()}}
		for _, s := range r.over {
			points = append(points, Point{columnX(s.layer), s.centre()}, Point{columnX(s.layer) + mapBoxW, s.centre()})
		}
		tip := Point{columnX(to.layer), to.centre()}
		out = append(out, MapWay{From: r.from, To: r.to, Points: append(points, Point{tip.X - mapTip, tip.Y}), Tip: tipOf(tip)})
	}
	return out
}
