"""Forecasts of public models as gridded files: NetCDF, zarr, GRIB."""
