import type { Disposable, ExtensionContext, TaskDefinition } from 'vscode';
import { l10n, ProcessExecution, Task, TaskGroup, TaskScope, tasks, workspace } from 'vscode';
import { asNode, commandLineOf } from './command-line.ts';

/** As package.json describes it under `taskDefinitions`. */
interface CheckTask extends TaskDefinition {
  /** Files and folders, from the folder in which it runs; the folder itself without any. */
  readonly paths?: readonly string[];
  /** What else `plugward check` is told, as `--since main`. */
  readonly options?: readonly string[];
}

const type = 'plugward';

/** The task that checks a folder with the command line of this extension, for whoever has one task for all checks. */
export function registerCheckTask(context: ExtensionContext): Disposable {
  const script = commandLineOf(context);
  const made = (definition: CheckTask, scope: Task['scope'], name: string): Task => {
    const { paths = ['.'], options = [] } = definition;
    const execution = new ProcessExecution(
      process.execPath,
      [script, 'check', '--format', 'annotations', ...options, ...paths],
      { env: asNode },
    );
    const task = new Task(definition, scope ?? TaskScope.Workspace, name, 'Plugward', execution, [
      '$plugward',
    ]);
    task.group = TaskGroup.Test;
    return task;
  };
  return tasks.registerTaskProvider(type, {
    provideTasks: () =>
      (workspace.workspaceFolders ?? []).map((folder) =>
        made({ type }, folder, l10n.t('Check the whole folder')),
      ),
    resolveTask: ({ definition, scope, name }) => made(definition as CheckTask, scope, name),
  });
}
