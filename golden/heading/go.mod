module controller/heading

go 1.22
