// Package kit holds the widgets of the window that know nothing of Kilnpoise, but for
// the legends of its pictures: text
// with its roles, rows and columns, links, lists, number entry, charts and legends, the
// theme, and how numbers and sentences are set.
package kit
