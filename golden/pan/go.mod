module controller/pan

go 1.22
