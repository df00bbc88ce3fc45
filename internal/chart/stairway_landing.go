package chart

// landingPlace is the position of the landing of a stairway with two roles.
type landingPlace struct {
	x, top, ground, going, rise float64
	thick, overhang, pier       float64
	above                       float64 // how much of the tread is above the landing's level
	m                           measures
	wide                        bool
}

// landing adds the landing on its open piers, and the joint steps rising from
// its half at the reading end. The first joint step is the landing.
func landing(s *Stairway, joint []Step, p landingPlace) {
	width := 2 * p.going
	s.Treads = append(s.Treads, Rect{p.x - p.overhang, p.top - p.above, width + 2*p.overhang, p.thick})
	s.Piers = append(s.Piers,
		Rect{p.x, p.top, p.pier, p.ground - p.top},
		Rect{p.x + width - p.pier, p.top, p.pier, p.ground - p.top})
	if len(joint) == 0 {
		return
	}
	f := flight{m: p.m, ground: p.top, role: 2}
	if joint[0].State == Current {
		s.Newels = append(s.Newels, f.newel(p.x+p.going/2, p.top))
	}
	s.Labels = append(s.Labels, StepLabel{Text{p.x + p.going/2, p.top + 18, joint[0].Label}, Ahead})
	above := joint[1:]
	if len(above) == 0 {
		return
	}
	f.steps, f.x0, f.going, f.rise, f.last = above, p.x+p.going, p.going/float64(len(above)), p.rise, true
	f.base = p.top
	for i, step := range above {
		top := p.top - p.rise*float64(i+1)
		f.tops = append(f.tops, top)
		s.Labels = append(s.Labels, StepLabel{Text{f.centre(i), top + 16, step.Label}, step.State})
	}
	if p.wide { // outlined like the flights
		f.body(s, p.top)
		for i := range above {
			if above[i].State == Current {
				s.Bare = append(s.Bare, Rect{f.left(i), f.tops[i], f.going, p.top - f.tops[i]})
				s.Hatch = append(s.Hatch, hatching(Rect{f.left(i), f.tops[i], f.going, p.top - f.tops[i]})...)
			}
		}
	} else {
		f.wells(s)
	}
	f.draw(s)
	if p.wide {
		s.ToCome = nil
	}
}
