// Package blunder looks for readings that are wrong and says what each looks
// like: a foot or an inch misread, digits transposed, two points exchanged. It
// corrects nothing.
package blunder
