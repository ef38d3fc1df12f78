package schema

import _ "embed" // for the file beside this one

// Lesson is the schema of `tideline lesson --json`.
//
//go:embed lesson.json
var Lesson []byte
