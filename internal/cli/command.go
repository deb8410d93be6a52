package cli

import "github.com/spf13/cobra"

// Command is the whole command line as a tree, for those who describe it.
func (p *Program) Command() *cobra.Command {
	root := p.root()
	root.DisableAutoGenTag = true // no date in what is made from it
	return root
}
