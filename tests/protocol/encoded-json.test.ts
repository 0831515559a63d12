import fc from 'fast-check';
import { expect, test } from 'vitest';
import { encodedJson, encodeMessage } from '../../server/src/lsp/encoded-json.ts';

const bytesOf = (value: unknown): Uint8Array => new TextEncoder().encode(JSON.stringify(value));
const read = (bytes: Uint8Array): unknown => JSON.parse(new TextDecoder().decode(bytes));

test('a message says the same, whichever of its values are encoded already', () => {
  const value = fc.jsonValue();
  const part = fc.record({ value, isEncoded: fc.boolean() });
  fc.assert(
    fc.property(fc.array(part), value, (parts, other) => {
      const items = parts.map((one) => (one.isEncoded ? encodedJson(bytesOf(one.value)) : one.value));
      const plain = { other, items: parts.map((one) => one.value) };
      expect(read(encodeMessage({ other, items }))).toEqual(JSON.parse(JSON.stringify(plain)));
      // Other serializers read it as well, as a structured channel does.
      expect(JSON.stringify({ other, items })).toBe(JSON.stringify(plain));
    }),
  );
});

test('the bytes of an encoded value are sent as they are', () => {
  const message = encodeMessage({ items: encodedJson(new TextEncoder().encode('[1,  2]')) });
  expect(new TextDecoder().decode(message)).toBe('{"items":[1,  2]}');
});

test('a text that reads like the placeholder of an encoded value stays a text', () => {
  // Whatever the placeholder is, it is what any other serializer of the message would see while one is encoded.
  let placeholder: unknown;
  const spy = { toJSON: () => (placeholder = JSON.parse(JSON.stringify(encodedJson(bytesOf([1]))))) };
  encodeMessage({ spy });
  expect(typeof placeholder).toBe('string');
  const message = { said: placeholder, items: [encodedJson(bytesOf(['a']))] };
  expect(read(encodeMessage(message))).toEqual({ said: placeholder, items: [['a']] });
});

test('a message that cannot be written fails, and the next one is whole', () => {
  const broken = {
    toJSON: () => {
      throw new Error('broken');
    },
  };
  expect(() => encodeMessage({ items: [encodedJson(bytesOf([1])), broken] })).toThrow('broken');
  expect(read(encodeMessage({ items: encodedJson(bytesOf([2])) }))).toEqual({ items: [2] });
});
