"""What goes home: documents from one gathered material. Each gives {file name: bytes} and reads nothing."""
