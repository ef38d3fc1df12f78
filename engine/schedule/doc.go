// Package schedule lays the steps of a plan out in time, for one person with one of each piece of equipment.
//
// In:  a *plan.Plan, and when there is someone at the bench (Options). Out: a [Schedule]: of each step when it is worked at
// and how long it lies waiting, and the days it all takes.
//
// What a step takes. First the tests to be done again before it, then its active minutes, in one go: this is hands-on. Then
// its waiting minutes. A test takes its minutes once for each thing it is asked of: a pack's minutes of a test are those of
// all places on one thing. Equipment is occupied from when the step is worked at until it has waited, its tests excluded.
// Setting up, clearing away and taking out of the press are in the pack's active minutes or in none.
//
// When. Hands-on time lies within working hours. What fits into a working day is not broken over two; what does not begins
// with a day and goes on at the beginning of the next ones, with all that it occupies. What is hands-on for no time at all
// (a step that only waits) begins in working hours too. Waiting goes on through nights and days off.
//
// What follows what. Of two steps the later of the plan begins when the earlier has waited, if both are done to a part in
// common. Parts that a fastener holds together are one, unless when the step is reached it is known to be out, or one of them
// to be loose (the questions `fastener.out` and `part.loose`, where a pack has them). A fastener that is out and stays out is
// worked on away from its parts. So it is too if the earlier is needed by the later, or brings what the later meets; and if
// the verdict of one rests on what the other changes: answers it gives or makes stale, findings it clears or brings. For each
// step was judged on the book as the steps before it in the plan leave it.
//
// How. The steps are taken in the order of the plan, and each put at the earliest time at which hands and equipment are free
// and all it follows is over: in a gap left by others, if it fits there. It is a list schedule. It never ends later than doing
// one after another; it need not be the shortest there is (TestShortest says how far off it is on small cases), but it does
// not change when nothing changes.
package schedule
