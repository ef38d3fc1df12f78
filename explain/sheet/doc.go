// Package sheet turns the questions of a book into a table that a spreadsheet can edit, and reads new results back.
//
// In:  a case ([Rows]), or the bytes of such a table and the case it is about ([Read]). Out: rows and their CSV ([CSV]);
// or the results that the case does not hold yet, and a fault with row and column for every cell that cannot be used.
//
// The table is CSV by RFC 4180 in UTF-8. It is written with commas and a byte order mark, by which spreadsheets know
// UTF-8; it is read with commas, semicolons or tabs, with or without the mark, its columns in any order. A text that a
// spreadsheet would run as a formula gets an apostrophe in front, and loses it on the way back. Grades are written as
// decimals: spreadsheets take 4-5 for a day.
//
// A table only adds. A row that says what the record says changes nothing, a row left out takes nothing away, and a
// recorded result is not altered: that is done in the record, where one sees what else hangs on it.
package sheet
