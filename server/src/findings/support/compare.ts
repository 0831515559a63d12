/** Units are converted in binary: 140 °F and 60 °C are one temperature, though their kelvins differ in the last digit. */
const rounding = 1e-9;

/** Whether `value` is above `limit` by more than the rounding of unit conversions. Both positive, in one SI unit. */
export const exceeds = (value: number, limit: number): boolean => value > limit * (1 + rounding);
