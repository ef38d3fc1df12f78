//go:build !unix

package main

// isDiskFault tells of an error that is the machine's; here the system's own words tell it.
func isDiskFault(error) bool { return false }
