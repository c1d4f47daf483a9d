// Package tables reads an export that is spreadsheets or CSV files of any layout. A Mapping
// says how rows of such tables become rows of our sheets; package sheets gives those their
// meaning. README.md describes the mapping.
//
// What no column of ours takes is counted as held and not compared, and kept as digests where
// that is asked for. Nothing is judged: what is odd is for the checks to say.
package tables
