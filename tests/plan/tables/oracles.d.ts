declare module 'vin-validator' {
  const vinValidator: { validate(vin: string): boolean };
  export default vinValidator;
}
