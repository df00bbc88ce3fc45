package criterion

// AnyCase lets tests outside the package draw cases.
var AnyCase = anyCase
