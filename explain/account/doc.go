// Package account chooses what is told of a verdict, and in which order.
//
// In:  a judgement and one of its verdicts. Out: an [Account]: the reasons that decide, the shortest first, what calls
// for the treatment, the arguments, the missing tests, the cautions with hazards first, and how well it is founded.
// All of it is read off the proof; nothing is judged again.
package account
