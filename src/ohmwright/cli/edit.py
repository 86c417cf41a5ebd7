"""ohmwright set, rename, ungroup: small edits that leave the rest of the file as it was."""

import click


@click.command("set")
@click.argument("rig")
@click.argument("address")
@click.argument("value")
def set_command(rig: str, address: str, value: str) -> None:
    """Change one figure or word of the rig file; one line changes.

    \b
    Example:
        ohmwright set larkspur W12.length "0.95 m (m 2026-05-02)"
    """
    from ohmwright.services import edit

    click.echo(edit.set_value(rig, address, value))


@click.command("rename")
@click.argument("rig")
@click.argument("old")
@click.argument("new")
def rename_command(rig: str, old: str, new: str) -> None:
    """Rename a part, load, run or place, everywhere in the file.

    \b
    Example:
        ohmwright rename larkspur F2 F12
    """
    from ohmwright.services import edit

    click.echo(edit.rename(rig, old, new))


@click.command("ungroup")
@click.argument("rig")
@click.argument("group")
def ungroup_command(rig: str, group: str) -> None:
    """Write a group's members, fuses and links into the file, to be changed by hand.

    \b
    Example:
        ohmwright ungroup larkspur B
    """
    from ohmwright.services import edit

    click.echo(edit.ungroup(rig, group))
