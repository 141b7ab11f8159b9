//go:build !unix

package command

// ignoreFileLimit does nothing where files have no such limit.
func ignoreFileLimit() {}
