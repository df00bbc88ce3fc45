package chart

import "testing"

func TestCurveFillsItsField(t *testing.T) {
	t.Parallel()
	c := NewCurve(200, 120, []Line{{{0, 0}, {100, 100}}}, []Point{{50, 50}})
	from, to := c.Lines[0][0], c.Lines[0][1]
	if from != (Point{c.Box.X, c.Box.Y + c.Box.H}) || to != (Point{c.Box.X + c.Box.W, c.Box.Y}) {
		t.Errorf("from %v to %v in %v", from, to, c.Box)
	}
	if mid := c.Points[0]; mid.X != (from.X+to.X)/2 || mid.Y != (from.Y+to.Y)/2 {
		t.Errorf("the midpoint is at %v", mid)
	}
	if c.Box.X+c.Box.W > c.W || c.Box.Y+c.Box.H > c.H {
		t.Errorf("the field %v leaves the drawing", c.Box)
	}
}
