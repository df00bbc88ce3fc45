package newel

import "slices"

// Actor is the account on whose behalf a request runs, as determined when the
// request was authenticated.
type Actor struct {
	Clinic     ClinicID
	Account    AccountID
	Name       string
	Capacities []Capacity
	Families   []FamilyID // on the caseload, or the caregiver's own
	Device     DeviceID   // the bound phone, zero for a password sign-in
}

// Can reports whether any of the actor's capacities grants the permission.
func (a Actor) Can(p Permission) bool {
	return slices.ContainsFunc(a.Capacities, func(c Capacity) bool { return c.Allows(p) })
}

// Require returns ErrForbidden unless the actor has the permission.
func (a Actor) Require(p Permission) error {
	if !a.Can(p) {
		return ErrForbidden
	}
	return nil
}

// IsStaff reports whether the actor is a member of the clinic's staff.
func (a Actor) IsStaff() bool { return slices.ContainsFunc(a.Capacities, Capacity.IsStaff) }

// Scope returns what the actor's transactions may see when using this
// permission. Only the capacities that grant the permission count: a person who
// works in the office and also supervises some families sees contacts of every
// family, but clinical notes only of their caseload.
func (a Actor) Scope(p Permission) Scope {
	s := Scope{Clinic: a.Clinic, Account: a.Account, Families: a.Families}
	for _, c := range a.Capacities {
		if c.Allows(p) {
			s.Staff = s.Staff || c.IsStaff()
			s.WholeClinic = s.WholeClinic || c.reachesClinic()
		}
	}
	return s
}

// Scope bounds a database transaction to one clinic, and within it to all or
// some families. Both row-level security and each statement's conditions use
// it.
type Scope struct {
	Clinic      ClinicID
	Account     AccountID
	Staff       bool // clinic staff: programs, accounts, audit
	WholeClinic bool
	Families    []FamilyID
}

// Covers reports whether the family is within the scope.
func (s Scope) Covers(f FamilyID) bool {
	return s.WholeClinic || slices.Contains(s.Families, f)
}
