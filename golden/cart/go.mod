module controller/cart

go 1.22
