module isocue.example

go 1.26

require (
	cuelang.org/go v0.17.1 // indirect
	github.com/arran4/golang-ical v0.3.6 // indirect
	github.com/google/go-cmp v0.7.0 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/rogpeppe/go-internal v1.16.0 // indirect
	github.com/spf13/cobra v1.10.2 // indirect
	github.com/spf13/pflag v1.0.10 // indirect
)
