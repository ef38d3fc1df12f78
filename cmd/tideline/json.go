package main

import "tideline/explain/data"

// writeJSON prints a result for programs.
func (a *app) writeJSON(v any) error {
	b, err := data.Encode(v)
	if err != nil {
		return internal{err}
	}
	return a.write(string(b))
}
