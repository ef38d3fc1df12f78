// Package data gives accounts to programs, as values that encode to JSON.
//
// In:  a judgement. Out: a [Decision], or the whole chain of verdicts as [Chains]. Their schemas are in
// [tideline/explain/schema]: keys are added to them, never taken away or given another meaning.
package data
