// Package bench makes of a plan what lies on the bench while it is carried out: a sheet to work from and to write on.
//
// In:  a *plan.Plan and its *schedule.Schedule. Out: a [Sheet]: of each step what can hurt, what to test again, how it is set,
// when to stop, what may come of it, and room for how it went; the materials of all steps; the days; and entries for the
// record. From it one HTML page that needs no script, to print or to tick on a screen; tideline/explain/text writes it as text.
//
// Long lists of cautions are not read, so each caution is told in full once, and by its number elsewhere: see cautions.go.
package bench
