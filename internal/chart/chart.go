// Package chart computes the geometry of drawings as numbers: stairways and graphs. It knows no markup and no colour;
// whoever draws turns the shapes into a page, or onto paper.
//
// Every length is in units of the drawing's own box, x from the reading start, y downwards.
package chart

// A Point is a place in a drawing.
type Point struct{ X, Y float64 }

// A Rect is an upright rectangle; X and Y are its upper corner at the reading start.
type Rect struct{ X, Y, W, H float64 }

// A Line is an open run of straight pieces.
type Line []Point

// A Text is where a piece of lettering stands: Y is its baseline.
type Text struct {
	X, Y float64
	S    string
}
