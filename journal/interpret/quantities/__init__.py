"""What a number measures: unit and kind as said, or from what stands around it; the tagger's second opinion."""
