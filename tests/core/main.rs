mod trade;
