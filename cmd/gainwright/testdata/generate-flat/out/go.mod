module controller/incubator

go 1.22
