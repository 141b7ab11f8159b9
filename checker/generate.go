package checker

// Every file that is made of others is refreshed by go generate ./...; the
// program says which, and in what order.
//
//go:generate go run ./internal/generate
