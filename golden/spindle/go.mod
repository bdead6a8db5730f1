module controller/spindle

go 1.22
