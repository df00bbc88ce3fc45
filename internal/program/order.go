package program

// Rules for the order of a session's targets.
const (
	OrderMassed   = "massed"
	OrderBlocked  = "blocked"
	OrderRotation = "rotation"
)

// OrderRules lists the rules.
var OrderRules = []string{OrderMassed, OrderBlocked, OrderRotation}
