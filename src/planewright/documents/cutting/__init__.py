"""What is cut: parts on boards, what changed since they were last laid, and the files made from it."""
