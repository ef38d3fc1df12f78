package schema

import _ "embed" // for the files beside this one

// TestsOut is the schema of `tideline tests out --json`.
//
//go:embed tests-out.json
var TestsOut []byte

// TestsIn is the schema of `tideline tests in --json`.
//
//go:embed tests-in.json
var TestsIn []byte
