package cond

// Truth is true, false or open: a condition is open while an answer it reads is not known and could decide it.
type Truth uint8

// The three values.
const (
	Open Truth = iota
	False
	True
)

// Of is True for true.
func Of(b bool) Truth {
	if b {
		return True
	}
	return False
}

// And is Kleene's strong conjunction.
func And(a, b Truth) Truth {
	switch {
	case a == False || b == False:
		return False
	case a == True && b == True:
		return True
	}
	return Open
}

// Or is Kleene's strong disjunction.
func Or(a, b Truth) Truth {
	switch {
	case a == True || b == True:
		return True
	case a == False && b == False:
		return False
	}
	return Open
}

// Not is Kleene's negation.
func Not(a Truth) Truth {
	switch a {
	case True:
		return False
	case False:
		return True
	}
	return Open
}

// AtLeast is true when n of many are known to hold, false when fewer than n could.
func AtLeast(n, holds, open int) Truth {
	switch {
	case holds >= n:
		return True
	case holds+open < n:
		return False
	}
	return Open
}

// String gives true, false or open.
func (t Truth) String() string { return [...]string{"open", "false", "true"}[t] }
