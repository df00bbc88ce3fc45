package chart

import "math"

// SmallHeight is the height of the small stairway's box. It is designed for
// this size and scaled by whole factors: 24, 36, 48.
const SmallHeight = 24

const (
	smallGround  = 23 // y of the ground
	smallClimb   = 15 // the tallest stairs
	smallMaxRise = 3
)

var smallMeasures = measures{
	tread: 2.5, treadAbove: 1, railAbove: 4.5,
	shaftW: 3, capW: 5, capH: 1.5, newelH: 7.5,
	halfLine: 0.5, overlap: 0.3,
	balusters: []float64{0.5},
}

// SmallStairway draws a breakdown for a line of text or a table row.
func SmallStairway(b Breakdown) Stairway {
	if b.TwoRoles() {
		return smallTwo(b)
	}
	n := len(b.First)
	going := smallGoing(n)
	rise := math.Min(smallMaxRise, smallClimb/math.Max(1, float64(n)))
	s := Stairway{Width: float64(n)*going + 4, Height: SmallHeight}
	s.Ground = Line{{0, smallGround + 0.5}, {float64(n)*going + 2, smallGround + 0.5}}
	f := flight{
		m: smallMeasures, steps: b.First, x0: 1, ground: smallGround, going: going, rise: rise,
		base: smallGround - 1, last: true,
	}
	for i := range b.First {
		f.tops = append(f.tops, half(smallGround-1-rise*float64(i+1)))
	}
	f.wells(&s)
	f.draw(&s)
	return s
}

// wells returns the light bodies of current steps.
func (f *flight) wells(s *Stairway) {
	for i, step := range f.steps {
		if step.State == Current {
			s.Well = append(s.Well, f.rect(Rect{f.left(i), f.tops[i], f.going, f.ground - f.tops[i]}))
		}
	}
}

func smallGoing(n int) float64 {
	switch {
	case n <= 5:
		return 9
	case n <= 7:
		return 7
	default:
		return 6
	}
}

// smallTwo draws a flight from each side and the landing between them.
func smallTwo(b Breakdown) Stairway {
	high := max(len(b.First), len(b.Second))
	columns := float64(len(b.First) + len(b.Second) + 2)
	going := smallGoing(high + 2) // two more rises: the landing and the joint steps
	rise := half(math.Min(smallMaxRise, smallClimb/float64(high+2)))
	width := columns*going + 2
	s := Stairway{Width: width, Height: SmallHeight}
	s.Ground = Line{{0, smallGround + 0.5}, {width, smallGround + 0.5}}
	for role, steps := range [][]Step{b.First, b.Second} {
		own := rise * float64(high) / float64(len(steps)) // both flights arrive at the same height
		f := flight{
			m: smallMeasures, steps: steps, x0: 1, ground: smallGround, going: going, rise: own,
			base: smallGround - 1, mirror: role == 1, mirrorX: width, role: role,
		}
		for i := range steps {
			f.tops = append(f.tops, half(smallGround-1-own*float64(i+1)))
		}
		f.wells(&s)
		f.draw(&s)
	}
	landing(&s, b.Joint, landingPlace{
		x: 1 + float64(len(b.First))*going, top: smallGround - 1 - rise*float64(high+1), ground: smallGround, going: going, rise: rise,
		thick: 2, above: 0.5, overhang: 1, pier: 1, m: smallMeasures,
	})
	return s
}

// half rounds to half a unit, so that edges align with pixels at every whole
// scale.
func half(y float64) float64 { return math.Round(y*2) / 2 }
