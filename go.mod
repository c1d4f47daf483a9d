module counterproof

go 1.26
