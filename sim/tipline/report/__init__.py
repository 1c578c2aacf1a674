"""Pages and summaries of an assessed run or pose, made of typed sections; computes nothing."""
