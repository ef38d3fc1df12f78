// Package lesson makes exercises from the proofs of a book, and marks the answers.
//
// In:  a judgement, a seed, and notes of what an apprentice found hard. Out: exercises, each with a proof that was checked,
// no two alike; and of each answer a [Mark]: whether it is right, what was missed, and the first step that fails.
//
// One node of a proof is hidden and asked for, and hiding goes backwards as an apprentice gets on: first the verdict, then
// the results it rests on, then the answer to look for. Many of the books are changed in one decisive answer, one of those
// that tideline/engine/whynot finds would turn a verdict.
//
// No answer is held against a list of right ones. What the apprentice names is judged with nothing else known, the proof
// of that is replayed by tideline/engine/verify, and it is right if it fixes the verdict: any sufficient reason is.
// It makes no sentence: see tideline/explain/lesson.
package lesson
