// Package projectfile reads and writes the one YAML file that is a project.
//
// Reading reports every fault at once, each with its line and column: faults
// of YAML, of shape (an unknown key, text where a number belongs) and of
// meaning (Project.Validate). Writing keeps what a person wrote: Doc changes
// one value in the text and leaves comments, order and layout alone. The file's
// shape is described for editors by a JSON Schema made from the same types.
//
// It knows the file and the nouns, nothing else: no paint's colour (whether a
// starter paint of that name exists is the pigments' business), no plan.
//
// Ref: [yaml122] the notation, [rfc6901] pointers into a file, [jsonschema2020]
// the schema.
//
// Start at Read; shape.go holds what the file looks like where it differs from
// the Go types.
package projectfile
