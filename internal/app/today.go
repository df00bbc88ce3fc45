package app

import "newel/internal/reading"

// Taught is a placement with everything that a person who teaches it needs to
// know.
type Taught = reading.Taught
