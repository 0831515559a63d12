import ts from 'typescript';

/**
 * A name that comes from a file must not find what every object inherits: `table['toString']` is a function. So no object
 * is indexed by just any string, nor asked with `in`; `own` of base/collections.ts looks at own keys alone. Keys out of a
 * closed set of words are safe, unless their type is only claimed by a cast.
 */
export const ownKeys = {
  meta: {
    type: 'problem',
    schema: [],
    messages: {
      index: 'Any string may be the name of an inherited member. Use own(table, name), or a Map.',
      in: '`in` sees inherited members too. Use Object.hasOwn.',
    },
  },
  create(context) {
    const { program, esTreeNodeToTSNodeMap } = context.sourceCode.parserServices;
    const checker = program.getTypeChecker();
    const open = ts.TypeFlags.String | ts.TypeFlags.TemplateLiteral | ts.TypeFlags.Any | ts.TypeFlags.Unknown;
    const isOpen = (node) => {
      if (node.type === 'TSAsExpression') return isOpen(node.expression);
      const type = checker.getTypeAtLocation(esTreeNodeToTSNodeMap.get(node));
      const base = checker.getBaseConstraintOfType(type) ?? type;
      return (base.isUnion() ? base.types : [base]).some(({ flags }) => (flags & open) !== 0);
    };
    return {
      MemberExpression(node) {
        if (node.computed && isOpen(node.property)) context.report({ node, messageId: 'index' });
      },
      'BinaryExpression[operator="in"]'(node) {
        if (node.left.type !== 'PrivateIdentifier' && isOpen(node.left))
          context.report({ node, messageId: 'in' });
      },
    };
  },
};
