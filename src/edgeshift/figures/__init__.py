"""Answers into descriptions of marks, scales and labels: data, not pixels."""
