package app

import "newel/internal/reading"

// Taught is a placement with everything that whoever teaches it has to know.
type Taught = reading.Taught
