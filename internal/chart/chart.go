// Package chart computes the geometry of drawings (stairways and graphs) as
// numbers. It knows nothing of markup or color; the caller turns the shapes
// into a web page or a printed one.
//
// All lengths are in units of the drawing's own box, x from the reading start,
// y downward.
package chart

// A Point is a position in a drawing.
type Point struct{ X, Y float64 }

// A Rect is an axis-parallel rectangle; X and Y are its upper corner at the
// reading start.
type Rect struct{ X, Y, W, H float64 }

// A Line is an open polyline.
type Line []Point

// A Text is the position of a piece of lettering: Y is its baseline.
type Text struct {
	X, Y float64
	S    string
}
